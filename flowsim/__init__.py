"""Does gravity deliver enough fuel, at every attitude, on the last usable fuel.

The public face: read a case, judge it, look at the answer. Everything here is also what the command
line uses. An estimate, not an approval; the ground test decides.

>>> from pathlib import Path
>>> import flowsim
>>> system = flowsim.read_case(Path("cases/one-tank/case.toml"))
>>> result = flowsim.judge(system, nominal=True)
>>> result.verdict in flowsim.Verdict
True
"""

from typing import TYPE_CHECKING, Any

from flowsim.errors import (
    DomainError,
    FlowsimError,
    InputError,
    Mistake,
    OutputError,
    UnsolvedError,
)

if TYPE_CHECKING:
    from flowsim.files.case.reader import read_case
    from flowsim.studies.adequacy.study import judge
    from flowsim.studies.result import (
        AdequacyResult,
        Decision,
        LossPath,
        Requirement,
        ResultLine,
        ScenarioResult,
        Topic,
        Verdict,
    )
    from flowsim.system.fuel_system import FuelSystem

__version__ = "0.1.0"

__all__ = [
    "AdequacyResult",
    "Decision",
    "DomainError",
    "FlowsimError",
    "FuelSystem",
    "InputError",
    "LossPath",
    "Mistake",
    "OutputError",
    "Requirement",
    "ResultLine",
    "ScenarioResult",
    "Topic",
    "UnsolvedError",
    "Verdict",
    "judge",
    "read_case",
]

_HOMES = {
    "read_case": "flowsim.files.case.reader",
    "judge": "flowsim.studies.adequacy.study",
    "FuelSystem": "flowsim.system.fuel_system",
}
_RESULT = "flowsim.studies.result"


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for: ``flowsim --help`` must not load numpy."""
    if name not in __all__:
        raise AttributeError(f"module 'flowsim' has no attribute {name!r}")
    from importlib import import_module

    value = getattr(import_module(_HOMES.get(name, _RESULT)), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names too, before they are imported."""
    return sorted({*globals(), *__all__})
