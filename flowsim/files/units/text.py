"""What is said of a text that is no quantity, and how a value is shown in a message."""

from flowsim.errors import FlowsimError


class QuantityError(FlowsimError):
    """A text is not a quantity of the kind asked for.

    ``problem`` says what is wrong and ``remedy`` what to write.
    """

    exit_code = 4

    def __init__(self, problem: str, remedy: str) -> None:
        self.problem = _printable(problem)
        self.remedy = _printable(remedy)
        super().__init__(f"{self.problem}; {self.remedy}")


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in text)


def shown(value: object, longest: int = 60) -> str:
    """Give a value as it may stand in a message: one line, printable, quoted, not too long.

    Parameters
    ----------
    value
        Anything read from a file.
    longest
        Largest number of characters before it is cut.

    Returns
    -------
    str
        The value in double quotes if it is text, else its plain form.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and abs(value) >= 10**18:
        return "a huge whole number"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    text = _printable(str(value)[: longest + 1])
    if len(text) > longest:
        text = text[: longest - 3] + "..."
    return f'"{text}"' if isinstance(value, str) else text
