"""What a decision may look at: the judged sweep, its draws, and the lines of flow."""

from dataclasses import dataclass

from flowsim.studies.joint.study import JointResult
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.result import ResultLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """The nominal sweep, the joint draws (None: judged on nominal values), the lines of flow."""

    swept: Sweep
    joint: JointResult | None
    lines: tuple[ResultLine, ...]
