"""What every command prints of every bundled case, to be compared before and after a change.

    python -m tests.support.snapshots FOLDER [CASE ...]

Run it at two commits and compare the folders (``diff -r``): a change that is meant to alter no
output leaves them equal byte for byte.
"""

import io
import os
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from flowsim.cli.main import exit_code_of
from flowsim.files.case.reader import read_case

ROOT = Path(__file__).parents[2]
FEW = ("--draws", "128")
COMMANDS: tuple[tuple[str, ...], ...] = (
    ("check", "CASE", *FEW),
    ("check", "CASE", "--full", *FEW),
    ("check", "CASE", "--all", "--nominal"),
    ("check", "CASE", "--json", *FEW),
    ("routing", "CASE"),
    ("routing", "CASE", "--attitude", "climb"),
    ("routing", "CASE", "--json"),
    ("unusable", "CASE", "--blocked-vent"),
    ("unusable", "CASE", "--json"),
    ("hand-check", "CASE"),
    ("hand-check", "CASE", "--json"),
    ("what-if", "CASE", "--nominal"),
    ("what-if", "CASE", "dirty-screens", *FEW),
    ("size", "CASE", "LINE", *FEW),
    ("size", "CASE", "LINE", "--least-bore", "--nominal"),
    ("uncertainty", "CASE", *FEW, "--samples", "0"),
    ("compare", "CASE", "OTHER", "--nominal"),
    ("flight", "CASE"),
    ("flight", "CASE", "--transfer"),
    ("flight", "CASE", "cases/four-outlets/flight.toml"),
    ("ground-test", "plan", "CASE", *FEW),
    ("ground-test", "fit", "CASE", "cases/four-outlets/readings.csv", "--no-case", *FEW),
    ("ground-test", "leak", "CASE", "--volume", "1 L", "--division", "0.1 kPa",
     "--start-pressure", "6 kPa", "--end-pressure", "5.5 kPa", "--start-temperature", "18 degC",
     "--end-temperature", "19 degC", "--minutes", "30"),
    ("report", "CASE", "--date", "2026-01-31", "--out", "OUT", "--force", *FEW),
)  # fmt: skip
WIDTHS = ("80", "57")
"""Columns; the second so narrow that words wrap."""


def taken(folder: Path, name: str) -> None:
    """Write what each command prints of one case into files of the folder."""
    case = f"cases/{name}/case.toml"
    known = {"CASE": case, "OTHER": "cases/humps/case.toml", "LINE": _first_line(case)}
    for number, command in enumerate(COMMANDS):
        known["OUT"] = str(folder / f"{name}-report")
        words = [known.get(word, word) for word in command]
        for width in WIDTHS if "--json" not in command and command[0] != "report" else WIDTHS[:1]:
            os.environ["COLUMNS"] = width
            with redirect_stdout(io.StringIO()) as out, redirect_stderr(io.StringIO()) as err:
                code = exit_code_of(words)
            text = f"{' '.join(command)}\nexit {code}\n{out.getvalue()}\n{err.getvalue()}"
            text = text.replace(str(folder), "OUT")
            label = "-".join(word.strip("-") for word in command[:3]).replace("/", "_")
            (folder / f"{name}-{number:02d}-{label}-{width}.txt").write_text(text, encoding="utf-8")


def _first_line(case: str) -> str:
    return read_case(ROOT / case).lines[0].name


def main() -> None:
    """Take the snapshots of the cases named, or of all."""
    folder = Path(sys.argv[1]).resolve()
    folder.mkdir(parents=True, exist_ok=True)
    names = sys.argv[2:] or sorted(p.name for p in (ROOT / "cases").iterdir() if p.is_dir())
    for name in names:
        taken(folder, name)


if __name__ == "__main__":
    main()
