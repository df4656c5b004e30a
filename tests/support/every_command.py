"""Every command that prints, on a bundled case, as quick as it can be run."""

import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
CASES = {path.parent.name: path for path in sorted((ROOT / "cases").glob("*/case.toml"))}
FEW = ("--draws", "100")


def commands(name: str) -> dict[str, list[str]]:
    """Give the words after ``flowsim`` of every command that prints text on a bundled case.

    Parameters
    ----------
    name : str
        One of ``CASES``.

    Returns
    -------
    dict
        By a short name of the command.
    """
    path = CASES[name]
    case = str(path)
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    line = data["line"][0]["name"]
    found = {
        "check": ["check", case, *FEW],
        "check --full": ["check", case, "--full", *FEW],
        "hand-check": ["hand-check", case, "--nominal"],
        "routing": ["routing", case],
        "size": ["size", case, line, "--sizes", "3/8 in x 0.035 in, 12 mm x 1 mm", *FEW],
        "size --least-fuel": ["size", case, "--least-fuel", "--least-head", "--nominal"],
        "uncertainty": ["uncertainty", case, "--samples", "0", *FEW],
        "what-if": ["what-if", case, "dirty-screens", "hot-fuel", "blocked-vent", *FEW],
        "compare": ["compare", case, str(CASES["one-tank"]), "--nominal"],
        "unusable": ["unusable", case, "--blocked-vent"],
        "flight --transfer": ["flight", case, "--transfer"],
        "ground-test plan": ["ground-test", "plan", case, *FEW],
        "ground-test leak": [
            "ground-test", "leak", case, "--volume", "1 L", "--division", "0.1 kPa",
            "--start-pressure", "5 kPa", "--end-pressure", "4 kPa", "--start-temperature",
            "18 degC", "--end-temperature", "18 degC", "--minutes", "10",
        ],
    }  # fmt: skip
    profile = path.with_name("flight.toml")
    if profile.exists():
        found["flight"] = ["flight", case, str(profile)]
    readings = path.with_name("readings.csv")
    if readings.exists():
        found["ground-test fit"] = ["ground-test", "fit", case, str(readings), "--no-case", *FEW]
    return found
