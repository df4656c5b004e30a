"""What could be read of a case that may be unfinished or wrong, for whoever shows it."""

from dataclasses import dataclass, field
from typing import Any

from flowsim.errors import Mistake
from flowsim.files.case.ledger import Remark
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.places import Places
from flowsim.system.fuel_system import FuelSystem, Provenance
from flowsim.system.tanks import Tank


@dataclass(slots=True, kw_only=True)
class Draft:
    """A case as far as it could be read; filled in while it is read, not changed afterwards.

    ``data`` is the plain data of the text, slips of the pen read over (None: it is no TOML);
    ``has_slips`` tells that some were, so that the text itself is not TOML. ``model`` is the
    file's model with empty values where it could not be read; ``places`` [m] are the nodes that
    have a place, ``tanks`` one for each of the file, None where it could not be built. ``system``
    is there only if nothing is wrong: it is what ``read_case_text`` gives. ``mistakes``,
    ``provenance`` and ``remarks`` carry the path of what they are about, in file order.
    """

    name: str
    text: str
    data: dict[str, Any] | None = None
    has_slips: bool = False
    model: CaseFile | None = None
    places: Places = field(default_factory=dict)
    tanks: tuple[Tank | None, ...] = ()
    system: FuelSystem | None = None
    mistakes: tuple[Mistake, ...] = ()
    provenance: tuple[Provenance, ...] = ()
    remarks: tuple[Remark, ...] = ()
