"""JSON as the standard has it: no NaN and no infinity."""

import json
from typing import Any


def strict(text: str) -> dict[str, Any]:
    """Read an object; a number that JSON does not know is an error."""

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} in the output")

    made = json.loads(text, parse_constant=refuse)
    assert isinstance(made, dict)
    return made
