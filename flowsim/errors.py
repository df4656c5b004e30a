"""The error tree. Each error carries the exit code with which the command line ends.

FlowsimError
├── InputError          case or readings invalid (exit 4)
├── OutputError         output cannot be written, or an optional part is missing (exit 5)
└── DomainError         a law was asked for a value that does not exist (exit 4)
    └── UnsolvedError   the network could not be solved where the answer turns on it (exit 3)
"""

from dataclasses import dataclass, field


class FlowsimError(Exception):
    """Base of every error that flowsim raises on purpose."""

    exit_code = 70


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake in an input file.

    ``file`` and ``line`` (1-based, None where there is none) say where, ``item`` names the thing
    in the builder's words, ``problem`` says what is wrong and ``remedy`` what to write. ``path``
    is where the value stands (keys and indices from the top), empty where there is none; it is not
    printed and does not make two mistakes different.
    """

    file: str
    line: int | None
    item: str
    problem: str
    remedy: str
    path: tuple[str | int, ...] = field(default=(), compare=False)

    def __str__(self) -> str:
        """Give the line as it is printed: ``file:line: item: what is wrong; what to write``."""
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        head = f"{place}: {self.item}: " if self.item else f"{place}: "
        return f"{head}{self.problem}; {self.remedy}"


class InputError(FlowsimError):
    """A case or readings file is invalid; carries every mistake found, in file order."""

    exit_code = 4

    def __init__(self, mistakes: list[Mistake]) -> None:
        self.mistakes = mistakes
        super().__init__("\n".join(str(mistake) for mistake in mistakes))


class OutputError(FlowsimError):
    """An output cannot be written, or an optional part is missing."""

    exit_code = 5


class DomainError(FlowsimError):
    """A value lies where a law does not exist (below freezing, above the critical point...)."""

    exit_code = 4


class UnsolvedError(DomainError):
    """A judged scenario could not be solved, so that the question cannot be answered."""

    exit_code = 3
