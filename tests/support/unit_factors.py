"""Work out what every unit of a case file is worth, by pint from our own definitions.

    python -m tests.support.unit_factors      rewrites flowsim/files/units/factors.py

The library takes a fifth of a second to import, which is too long for every start of a command, so
its answers are kept as a table; a test holds the table to the library.
"""

from pathlib import Path

import pint

from flowsim.files.units.kinds import KINDS, UNIT_WORDS

FILES = Path(__file__).parents[2] / "flowsim" / "files"
TABLE = FILES / "unit_factors.py"


def factors() -> dict[tuple[str, str], tuple[float, float]]:
    """Factor and offset to SI by (SI unit, unit), for every unit of every kind."""
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    registry.load_definitions(FILES / "units.txt")
    found = {}
    for kind in KINDS:
        for unit in kind.units:
            word = UNIT_WORDS.get(unit, unit)
            one = float(registry.Quantity(1.0, word).to(kind.si).magnitude)
            zero = float(registry.Quantity(0.0, word).to(kind.si).magnitude)
            found[kind.si, unit] = (one - zero if kind.has_offset else one, zero)
    return found


def source() -> str:
    """Give the text of the table's module."""
    lines = [
        '"""What each unit is worth in SI: made by tests/support/unit_factors.py, not by hand."""',
        "",
        "TO_SI: dict[tuple[str, str], tuple[float, float]] = {",
    ]
    for (si, unit), (factor, offset) in sorted(factors().items()):
        lines.append(f'    ("{si}", "{unit}"): ({factor!r}, {offset!r}),')
    return "\n".join(
        [
            *lines,
            "}",
            '"""Factor and offset by (SI unit, unit): value = number x factor + offset."""',
            "",
        ]
    )


if __name__ == "__main__":
    TABLE.write_text(source())
