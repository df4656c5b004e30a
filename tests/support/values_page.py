"""Write ``docs/values.md``: every default and constant of physics, and how sure it is.

Run ``python -m tests.support.values_page`` from the repository root. Numbers are read from the
code, sources and tags from the words beside them, so that nothing stands twice; a test compares the
page with the committed one and looks for numbers without an entry.
"""

import ast
import importlib
from collections import Counter
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from flowsim.physics.fuel.catalogue import CATALOGUE as FUELS
from flowsim.physics.losses.fitting_catalogue import CATALOGUE
from flowsim.system.bands import Band, Exact, Lognormal, LognormalEnds, Normal, Triangular
from flowsim.system.fuel import Fuel
from flowsim.system.tags import OWN, Tag
from tests.support.constants_in_code import ROOT, Entry, entries
from tests.support.not_physics import REASONS

PAGE = ROOT / "docs" / "values.md"

HEAD = """# Values: every number behind a verdict

Made by `python -m tests.support.values_page` from the code: the numbers from the code itself,
sources and tags from the words beside them. A test holds this page to the code, and a constant of
physics without an entry fails it.

What a tag means. **published**: read, or seen transcribed, for that very thing; the fluids library
is a transcription of the books it names, and is said so. **estimate**: no value of that very thing
was found, the number stands on the nearest one. **common practice**: has no source. **from
memory**: recalled and not seen again. A band is given by its 5 and 95 % points unless it says
otherwise. A loss with any of these tags is one that nobody measured on your aeroplane: `check`
lists it as an assumption, with its share of the head and what would measure it.

An estimate, not an approval: the ground test decides.
"""

AREAS = {
    "constants": "Requirement and standard atmosphere",
    "physics": "Laws and parts",
    "network": "Network",
    "studies": "Studies and verdict",
    "files": "Filled in where the case says nothing, and limits of what is taken",
}


def listed() -> tuple[Entry, ...]:
    """Give the entries of the page: every number that is not on the list of what is no physics."""
    return tuple(entry for entry in entries() if entry.key not in REASONS)


def page() -> str:
    """Give the page."""
    found = listed()
    constants = [entry for entry in found if entry.kind != "law"]
    laws = [entry for entry in found if entry.kind == "law"]
    blocks = [HEAD, _counts(found), _fittings(), _fuels()]
    blocks += [_constants(area, title, constants) for area, title in AREAS.items()]
    blocks += [_laws(laws), _rest()]
    return "\n".join(block for block in blocks if block)


def _counts(found: tuple[Entry, ...]) -> str:
    tags = Counter(entry.tag for entry in found)
    rows = Counter(kind.tag for kind in CATALOGUE.values())
    words = ", ".join(f"{tags[tag]} {tag}" for tag in OWN)
    fittings = ", ".join(f"{rows[tag]} {tag}" for tag in OWN if rows[tag])
    return f"Of {len(found)} constants and laws: {words}. Of the fittings: {fittings}.\n"


def _fittings() -> str:
    lines = [
        "## Fittings\n",
        "Loss = (K + K1/Re) velocity heads at the bore named. Code: "
        "`flowsim/physics/losses/fitting_catalogue.py`. Used by every fitting that a case names "
        "without a loss of its own.\n",
        "| fitting | K | band of K | K1 | band of K1 | bore | tag | source |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for kind in CATALOGUE.values():
        lines.append(
            f"| {kind.name} | {kind.k_inf:g} | {_scaled(kind.band, kind.k_inf)} | "
            f"{kind.k_laminar:g} | {_scaled(kind.laminar_band, kind.k_laminar)} | "
            f"{kind.reference} | {kind.tag} | {_cell(kind.source)} |"
        )
    return "\n".join([*lines, ""])


def _fuels() -> str:
    lines = [
        "## Fuels\n",
        "Taken where the case gives no reading of its own. "
        "Code: `flowsim/physics/fuel/catalogue.py`. "
        "What the source does not say is from memory was read or follows from a published law.\n",
        "| fuel | density at 15 degC, kg/m3 | viscosity, mm2/s at degC | band of viscosity | "
        "Reid vapour pressure, kPa | tag | source |",
        "|---|---|---|---|---|---|---|",
    ]
    for fuel in FUELS.values():
        reid = "-" if fuel.reid_pressure is None else f"{fuel.reid_pressure / 1000:g}"
        lines.append(
            f"| {fuel.name} | {fuel.density_15:g} | {_viscosities(fuel)} | "
            f"{band_words(fuel.viscosity_band)} | {reid} | {_fuel_tag(fuel)} | "
            f"{_cell(fuel.source)} |"
        )
    return "\n".join([*lines, ""])


def _viscosities(fuel: Fuel) -> str:
    points = (f"{1e6 * nu:.3g} at {kelvin - 273.15:.0f}" for kelvin, nu in fuel.viscosity_points)
    return ", ".join(points) or "by law"


def _fuel_tag(fuel: Fuel) -> str:
    """Give the worst of a fuel's tags: one number from memory makes it so."""
    return Tag.FROM_MEMORY if "from memory" in fuel.source else Tag.PUBLISHED


def _constants(area: str, title: str, found: list[Entry]) -> str:
    mine = [entry for entry in found if entry.module.split("/")[0] == area]
    if not mine:
        return ""
    lines = [
        f"## {title}\n",
        "| name | value | what it is and where from | tag | stands in; used by |",
        "|---|---|---|---|---|",
    ]
    for entry in mine:
        row = (f"`{entry.name}`", _value(entry), _cell(_words(entry)), entry.tag, _users(entry))
        lines.append(f"| {' | '.join(str(cell) for cell in row)} |")
    return "\n".join([*lines, ""])


def _laws(found: list[Entry]) -> str:
    lines = [
        "## Laws with coefficients of their own\n",
        "The coefficients stand in the function; the theory pages give them. Only functions with "
        "numbers of their own are here.\n",
        "| law | what it gives | source | tag |",
        "|---|---|---|---|",
    ]
    for entry in found:
        first = entry.words.split(" Parameters ")[0].split(" Tag:")[0]
        lines.append(
            f"| `{entry.module}`: `{entry.name}` | {_cell(first)} | {_cell(_references(entry))} | "
            f"{entry.tag} |"
        )
    return "\n".join([*lines, ""])


def _references(entry: Entry) -> str:
    for mark in (" References ---------- ", " Notes ----- "):
        if mark in entry.words:
            return entry.words.split(mark, 1)[1].split(" Examples --")[0].replace(" Tag:", " Tag:")
    return ""


def _rest() -> str:
    reasons = Counter(REASONS.values())
    lines = ["## What is not here\n", "| numbers | why |", "|---|---|"]
    lines += [f"| {count} | {reason} |" for reason, count in reasons.items()]
    return "\n".join([*lines, "", "Their names: `tests/support/not_physics.py`.", ""])


def _words(entry: Entry) -> str:
    words = entry.words
    for tag in OWN:
        words = words.replace(f"Tag: {tag}.", "").replace(f"Tag: {tag} ", "")
    return words.replace("). (", "; ").replace(". (", " (").strip()


def _value(entry: Entry) -> str:
    module = importlib.import_module(f"flowsim.{entry.module.replace('/', '.')}")
    names = [name.strip() for name in entry.name.split(",")]
    if entry.kind == "default":
        owner, field = entry.name.split(".")
        return _cell(value_words(getattr(module, owner).__dataclass_fields__[field].default))
    return _cell(", ".join(value_words(getattr(module, name)) for name in names))


def value_words(value: object) -> str:
    """Show a value: a number, a band, a short table with its entries, a long one by its size."""
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, Exact | Triangular | Lognormal | LognormalEnds | Normal):
        return band_words(value)
    if isinstance(value, Mapping):
        if len(value) > 12 or not all(isinstance(one, float | int) for one in value.values()):
            return f"table of {len(value)}"
        return "; ".join(f"{key} {value_words(one)}" for key, one in value.items())
    if isinstance(value, tuple | list):
        if len(value) > 4 or not all(isinstance(one, float | int) for one in value):
            return f"table of {len(value)}"
        return ", ".join(value_words(one) for one in value)
    return str(value)


def band_words(band: Band) -> str:
    """Say a band of a factor: its ends, its middle where that is not one."""
    if isinstance(band, Exact):
        return "exact"
    if isinstance(band, Triangular):
        return f"{band.low:.3g} to {band.high:.3g}, all of it"
    if isinstance(band, Normal):
        return f"+-{100 * band.deviation:.3g} %, one standard deviation"
    if isinstance(band, Lognormal):
        return f"times or over {band.factor:.3g}, one standard deviation"
    middle = "" if band.middle == 1.0 else f" about {band.middle:.3g}"
    return f"{band.low:.3g} to {band.high:.3g}{middle}"


def _scaled(band: Band, value: float) -> str:
    """Say a band as values, not factors."""
    if isinstance(band, LognormalEnds):
        return f"{band.low * value:.4g} to {band.high * value:.4g}"
    return "-" if isinstance(band, Exact) else band_words(band)


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


@cache
def _imports() -> dict[str, frozenset[tuple[str, str]]]:
    """Give for each module of the house the (module, name) pairs that it takes from others."""
    found = {}
    for file in sorted((ROOT / "flowsim").rglob("*.py")):
        module = file.relative_to(ROOT / "flowsim").with_suffix("").as_posix()
        found[module] = frozenset(_taken(ast.parse(file.read_text(encoding="utf-8"))))
    return found


def _taken(tree: ast.Module) -> Iterator[tuple[str, str]]:
    aliases = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("flowsim"):
            origin = (node.module or "").removeprefix("flowsim").lstrip(".").replace(".", "/")
            for name in node.names:
                yield origin, name.name
                aliases[name.asname or name.name] = f"{origin}/{name.name}".lstrip("/")
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name)):
            continue
        if node.value.id in aliases:
            yield aliases[node.value.id], node.attr


def _users(entry: Entry) -> str:
    """Give the module of a constant, and the floors of the house that take it from there.

    Floors and not modules: a page that changes with every import would never be current.
    """
    names = {name.strip() for name in entry.name.split(",")}
    floors = dict.fromkeys(
        module.split("/")[0]
        for module, taken in _imports().items()
        if any((entry.module, name) in taken for name in names)
    )
    return f"{entry.module}" + (f"; by {', '.join(floors)}" if floors else "")


def main(path: Path = PAGE) -> None:
    """Write the page."""
    path.write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
