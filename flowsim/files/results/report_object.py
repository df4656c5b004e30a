"""Reading and writing the report's data, ``flowsim.report/1``."""

import hashlib
import json
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from flowsim.errors import InputError, Mistake
from flowsim.files.results.report_checks import faults_of
from flowsim.files.results.report_model import SCHEMA, Report
from flowsim.files.toml.source import file_name
from flowsim.files.units.quantities import shown

SEAL = "seal"
LARGEST = 64 * 1024 * 1024
"""[byte] A larger file is not read."""


def report_json(report: Report) -> str:
    """Give a report as JSON text: ASCII, one line for each section, ending with a line break."""
    made = report.model_dump(mode="json", by_alias=True)
    made[SEAL] = seal_of(made)
    return json.dumps(made, indent=1, ensure_ascii=True, allow_nan=False) + "\n"


def seal_of(content: dict[str, Any]) -> str:
    """Give SHA-256 in hexadecimal of all data but the seal, in whatever order they stand.

    It tells a file that was changed since it was written; it is no signature.
    """
    rest = {key: value for key, value in content.items() if key != SEAL}
    text = json.dumps(rest, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def read_report(path: Path) -> Report:
    """Read a report's data.

    Parameters
    ----------
    path : Path
        As ``flowsim report`` wrote it.

    Returns
    -------
    Report

    Raises
    ------
    InputError
        When the file cannot be read, is no JSON, is not of this version, was changed since it was
        written, or does not fit together; says what to do.
    """
    name = file_name(path)
    try:
        if path.stat().st_size > LARGEST:
            raise _bad(name, "is too large for a report's data", "give the report.json of a report")
        content = json.loads(path.read_bytes())
    except OSError as error:
        words = error.strerror or str(error)
        raise _bad(name, f"cannot be read ({words})", "check its name and place") from error
    except (ValueError, RecursionError) as error:
        raise _bad(name, "is no JSON", "give the report.json that flowsim report wrote") from error
    _check_version(name, content)
    try:
        report = Report.model_validate(content)
    except ValidationError as error:
        first = error.errors()[0]
        place = shown(".".join(str(step) for step in first["loc"][:8])).strip('"')
        raise _bad(
            name,
            f"is damaged at {place}: {first['msg']}",
            "make the report again from its case",
        ) from error
    if content.get(SEAL) != seal_of(content):
        raise _bad(
            name,
            "was changed since flowsim wrote it (its seal does not fit), so its verdict may not be "
            "the one that was worked out",
            "make the report again from its case",
        )
    fault = next(faults_of(report), None)
    if fault is not None:
        raise _bad(name, f"is damaged at {shown(fault)}", "make the report again from its case")
    return report


def report_schema() -> dict[str, Any]:
    """Give the JSON schema of a report's data."""
    made = Report.model_json_schema(by_alias=True)
    made["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    made["$id"] = "urn:flowsim:report:1"
    made["title"] = SCHEMA
    made["properties"][SEAL] = {
        "description": "SHA-256 of all other data: their JSON with sorted keys and no blanks.",
        "type": "string",
        "pattern": "^[0-9a-f]{64}$",
    }
    made["required"] = [*made["required"], SEAL]
    return made


def _check_version(name: str, content: Any) -> None:
    found = content.get("schema") if isinstance(content, dict) else None
    if found == SCHEMA:
        return
    if isinstance(found, str) and found.startswith("flowsim.report/"):
        raise _bad(
            name,
            f'is a report of another version ({shown(found)}; this flowsim reads "{SCHEMA}")',
            "use the flowsim that made it, or make the report again from its case",
        )
    said = f"says {shown(found)}" if isinstance(found, str) else "names no schema"
    raise _bad(
        name, f'is not a report\'s data (it {said}, not "{SCHEMA}")', "give the report.json of one"
    )


def _bad(name: str, problem: str, remedy: str) -> InputError:
    return InputError([Mistake(name, None, "", problem, remedy)])


if __name__ == "__main__":
    print(json.dumps(report_schema(), indent=2))  # noqa: T201 - python -m writes the schema
