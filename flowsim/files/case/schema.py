"""The published form of the case file: its JSON schema and its reference page, from the models."""

from collections.abc import Iterator
from typing import Any

from flowsim.files.case import models as base
from flowsim.files.case import models_calibration as calibration
from flowsim.files.case import models_lines as lines
from flowsim.files.case import models_profile as profile
from flowsim.files.case import models_routing as routing
from flowsim.files.case import models_tanks as tanks
from flowsim.files.case.given import ORIGINS
from flowsim.files.case.part_rules import DEVICES
from flowsim.files.case.validate import toml_text
from flowsim.files.case.values import SCHEMA_KEY
from flowsim.files.units.kinds import KINDS, Kind
from flowsim.physics.fuel.catalogue import CATALOGUE as FUELS
from flowsim.physics.losses.fitting_catalogue import CATALOGUE
from flowsim.physics.losses.roughness import ROUGHNESS

SCHEMA_NAME = "flowsim.case/1"
"""Names the form of the file in its schema."""

_NUMBER = (
    r"\s*[+-]?([0-9]+(\s+|\s*-\s*))?([0-9]+\s*/\s*[0-9]+|"
    r"([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?)"
)
_ORDER: tuple[tuple[str, type[base.CaseSection]], ...] = (
    ("the top of the file", lines.CaseFile),
    ("[defaults]", lines.DefaultsSection),
    ("[fuel]", base.FuelSection),
    ("density, viscosity, vapour_pressure of [fuel]", base.ValueAt),
    ("[engine]", base.EngineSection),
    ("[engine.carburettor]", base.CarburettorSection),
    ("[flight]", base.FlightSection),
    ("[test]", base.GroundTestSection),
    ("[[tank]]", tanks.TankSection),
    ("dips of [[tank]]", tanks.DipSection),
    ("vent of [[tank]]", tanks.VentSection),
    ("[[tank.outlet]]", tanks.OutletSection),
    ("screen of [[tank.outlet]]", tanks.ScreenSection),
    ("[[line]]", lines.LineSection),
    ("corners of [[line]]", lines.CornerSection),
    ("parts of [[line]], [[tank.outlet]] and [engine.carburettor]", base.PartSection),
    ("measured of a part", base.DropReading),
    ("[[stock]]", lines.StockSection),
    ("[[junction]]", lines.JunctionSection),
    ("[[tee]]", lines.TeeSection),
    ("[[selector]]", lines.SelectorSection),
    ("[[drain]]", lines.DrainSection),
    ("[[start]]", profile.StartSection),
    ("[[phase]]", profile.PhaseSection),
    ("[ground]", routing.GroundSection),
    ("[routing]", routing.RoutingSection),
    ("[line.installation]", routing.InstallationSection),
    ("protection of [line.installation]", routing.ProtectionSection),
    ("[[obstacle]]", routing.ObstacleSection),
    ("[[crossing]]", routing.CrossingSection),
    ("[[vent_line]]", routing.VentLineSection),
    ("[calibration]", calibration.CalibrationSection),
    ("[[calibration.input]]", calibration.CalibratedInputSection),
)


def case_schema() -> dict[str, Any]:
    """Give the JSON schema of a case file.

    Returns
    -------
    dict
        JSON Schema, draft 2020-12. It checks form and spelling; what several keys must fulfil
        together is checked by the reader.
    """
    raw = lines.CaseFile.model_json_schema(by_alias=True)
    definitions: dict[str, Any] = raw.pop("$defs", {})
    values: dict[str, Any] = {}
    plain = {name: _resolved(schema, values) for name, schema in definitions.items()}
    body = _resolved(raw, values)
    body["title"] = "flowsim case file"
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": SCHEMA_NAME,
        **body,
        "$defs": {**dict(sorted(plain.items())), **dict(sorted(values.items()))},
    }


def _resolved(schema: Any, values: dict[str, Any]) -> Any:
    """Replace the marks of values by references, and collect their definitions."""
    if isinstance(schema, list):
        return [_resolved(item, values) for item in schema]
    if not isinstance(schema, dict):
        return schema
    if SCHEMA_KEY in schema:
        marked = schema[SCHEMA_KEY]
        rest = {k: v for k, v in schema.items() if k in ("description", "examples", "default")}
        if marked == "number":
            return {**rest, "anyOf": [_number(schema), _table(_number(schema))]}
        name = _definition_name(marked)
        values[name] = _definition(marked)
        if marked == "point":
            values[_definition_name("coordinate")] = _definition("coordinate")
        return {**rest, "$ref": f"#/$defs/{name}"}
    inner = {
        key: _resolved(value, values)
        for key, value in schema.items()
        if not (key == "title" and isinstance(value, str))
    }
    return _or_mirrored(_without_null(inner))


def _or_mirrored(schema: dict[str, Any]) -> dict[str, Any]:
    """Let a section that mirrors another leave out what it must say otherwise."""
    if "mirror" not in schema.get("properties", {}) or "required" not in schema:
        return schema
    needed = schema.pop("required")
    return {**schema, "anyOf": [{"required": ["mirror"]}, {"required": needed}]}


def _without_null(schema: dict[str, Any]) -> dict[str, Any]:
    """Take away null: TOML has none, an optional key is left out."""
    options = schema.get("anyOf")
    if not isinstance(options, list) or {"type": "null"} not in options:
        return schema
    kept = [option for option in options if option != {"type": "null"}]
    rest = {k: v for k, v in schema.items() if k not in ("anyOf", "default")}
    return {**rest, **kept[0]} if len(kept) == 1 else {**rest, "anyOf": kept}


def _definition_name(marked: str) -> str:
    return "value-" + marked.replace(" ", "-")


def _definition(marked: str) -> dict[str, Any]:
    if marked == "point":
        return {
            "type": "array",
            "description": "station, buttline, waterline",
            "items": {"$ref": f"#/$defs/{_definition_name('coordinate')}"},
            "minItems": 3,
            "maxItems": 3,
        }
    if marked == "tube":
        return {"type": "string", "description": "outside diameter x wall", "pattern": "[x×]"}
    if marked == "band":
        return {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
    kinds = [_kind(name) for name in marked.split(" or ")]
    units = "|".join(_escaped(unit) for kind in kinds for unit in kind.units)
    text = {
        "type": "string",
        "pattern": f"^{_NUMBER}\\s*({units})\\s*$",
        "examples": [kind.example for kind in kinds],
    }
    return {"description": f"{kinds[0].words} with its unit", "anyOf": [text, _table(text)]}


def _escaped(unit: str) -> str:
    return "".join(f"\\{c}" if c in "()/.*+" else c for c in unit)


def _kind(name: str) -> Kind:
    return next(kind for kind in KINDS if kind.name == name)


def _number(schema: dict[str, Any]) -> dict[str, Any]:
    return {"type": "number", "minimum": schema["low"], "maximum": schema["high"]}


def _table(value: dict[str, Any]) -> dict[str, Any]:
    """Give the table form of a value."""
    return {
        "type": "object",
        "properties": {
            "value": value,
            "from": {"type": "string", "enum": list(ORIGINS)},
            "accuracy": {"type": value["type"]},
            "note": {"type": "string"},
        },
        "required": ["value"],
        "additionalProperties": False,
    }


def case_reference() -> str:
    """Give the reference page of the case file.

    Returns
    -------
    str
        Markdown, ended by a line feed.
    """
    return "\n".join((*_INTRODUCTION, *_units(), *_sections(), *_parts(), *_lists())) + "\n"


_INTRODUCTION = (
    "# The case file",
    "",
    "This page is generated from the code (`flowsim.files.case.schema`); a test keeps it current.",
    "The result of a check is an estimate, not an approval.",
    "",
    "A case is one file of TOML text in UTF-8, written by hand. `flowsim new` writes a commented",
    "starter that reads without mistakes. The JSON schema is `docs/schemas/case-file.schema.json`.",
    "",
    "## Values",
    "",
    "- A value with a dimension is text: a number and a unit. The number may be decimal (`31.5`),",
    "  scientific (`2.5e-3`), a fraction (`3/8`) or mixed (`1 3/8`, `1-3/8`). A bare number is",
    "  refused.",
    "- Other spellings are read where they have one meaning: feet and inches (`5 ft 3 in`,",
    "  `5' 3 in`), a decimal comma (`31,5 in`), `inches`, `lbs/hr`, `knots`, `15 C`;",
    "  a time as `4 min 12 s`, `4:12 min` or `1:30 h`. Where there are two, the message offers",
    "  both: `1,234 in` may be 1.234 or 1234; `gal`, `qt`, `pt`, `fl oz` and `GPH` may be US or",
    "  imperial.",
    "  The schema knows only the spellings of the table below.",
    "- Words out of a list (shapes, parts, materials, positions of the selector) are read whatever",
    "  their case.",
    "- A pure number (count, coefficient, share) is written without quotes; a share may also be",
    '  written in per cent, `"90 %"`.',
    "- A point is `[station, buttline, waterline]`: aft, right and up positive, from any datum.",
    "- Any value may be a table that says where it is from:",
    '  `{ value = "31.5 in", from = "measured", accuracy = "0.1 in", note = "..." }`.',
    "  `from` is " + ", ".join(f"`{origin}`" for origin in ORIGINS) + ". What is assumed, and what",
    "  the program fills in, is listed first in every output.",
    "- `accuracy` is one standard deviation. It is used for bores, for coefficients and losses of",
    "  parts, for viscosity, and (the largest one) for heights; elsewhere it is only a note.",
    "- What is the same everywhere is said once, in `[defaults]` and `[[stock]]`; the other side",
    "  of the aeroplane is the `mirror` of the one that is written. Both are written out before",
    "  anything is checked: the system is the very one that it would be in full.",
    "- Things are referred to by name, never by position. A tank's outlet is `tank.outlet`; the",
    "  carburettor inlet is `engine`.",
    "",
)


def _units() -> Iterator[str]:
    yield from ("## Units", "", "| kind | units | smallest | largest |", "|---|---|---|---|")
    for kind in KINDS:
        if kind.name == "mass":
            continue
        least = f"above {kind.low_words}" if kind.low_is_open else kind.low_words
        units = " ".join(f"`{unit}`" for unit in kind.units)
        yield f"| {kind.name} | {units} | {least} | {kind.high_words} |"
    yield ""


def _sections() -> Iterator[str]:
    for heading, section in _ORDER:
        yield f"## {heading[0].upper()}{heading[1:]}"
        yield ""
        if section is not base.ValueAt:
            yield _words(section.__doc__)
        else:
            yield "A list of one or two readings."
        yield ""
        yield from ("| key | meaning | example |", "|---|---|---|")
        fields = dict(section.model_fields)
        if section is base.ValueAt:
            fields |= base.DensityAt.model_fields
        for name, field in fields.items():
            key = field.alias or name
            meaning = _words(field.description).replace("|", "\\|")
            needed = "**required.** " if field.is_required() else ""
            example = f"`{toml_text(field.examples[0])}`" if field.examples else ""
            yield f"| `{key}` | {needed}{meaning} | {example} |"
        yield ""


def _words(text: str | None) -> str:
    return " ".join((text or "").split())


def _parts() -> Iterator[str]:
    yield from ("## What `part` may be", "")
    yield "Fittings of the catalogue lose (K + K1/Re) velocity heads at the bore named here. Where"
    yield "that is the line's, `bore` may be left out. They also take `count`, `band`, and one of"
    yield "`cv`, `kv`, `measured`, `k` (with `k_laminar`), which replaces the catalogue's loss."
    yield "A `hose barb` narrower than its hose is worked out from both bores, so is an `insert`."
    yield from ("", "| part | K | K1 | bore | from |", "|---|---|---|---|---|")
    for kind in CATALOGUE.values():
        row = (kind.name, f"{kind.k_inf:g}", f"{kind.k_laminar:g}", kind.reference, kind.source)
        yield "| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |"
    yield from ("", "Other parts:", "", "| part | what | needs | may have |", "|---|---|---|---|")
    for name, rule in DEVICES.items():
        needs = " ".join(f"`{key}`" for key in rule.needs)
        takes = " ".join(f"`{key}`" for key in rule.takes)
        yield f"| {name} | {rule.words} | {needs} | {takes} |"
    yield ""


def _lists() -> Iterator[str]:
    yield from ("## Known fuels", "")
    yield from (f"- `{name}`: {fuel.source}" for name, fuel in FUELS.items())
    yield "- `own`: a liquid described by `density`, `viscosity` and `vapour_pressure` (or"
    yield "  `reid_vapour_pressure`)."
    yield from ("", "## Known materials", "", "| material | roughness |", "|---|---|")
    yield from (f"| {name} | {1e6 * value:g} um |" for name, value in ROUGHNESS.items())
