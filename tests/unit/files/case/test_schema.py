"""The published schema and reference page are those of the code."""

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest
from pydantic import ValidationError

from flowsim.files.case import models as case_models
from flowsim.files.case import models_lines as case_models_lines
from flowsim.files.case import models_tanks as case_models_tanks
from flowsim.files.case.models import CaseSection
from flowsim.files.case.part_rules import DEVICES
from flowsim.files.case.schema import case_reference, case_schema
from flowsim.files.case.starter import starter_text
from flowsim.files.units.kinds import KINDS
from flowsim.physics.losses.fitting_catalogue import CATALOGUE

_DOCS = Path(__file__).parents[4] / "docs"
_SECTIONS = sorted(
    {
        value
        for module in (case_models, case_models_lines, case_models_tanks)
        for value in vars(module).values()
        if isinstance(value, type) and issubclass(value, CaseSection)
    },
    key=lambda section: section.__name__,
)


def test_reference_page_is_current() -> None:
    """Written by: Path("docs/case-file.md").write_text(case_reference())."""
    assert (_DOCS / "case-file.md").read_text(encoding="utf-8") == case_reference()


def test_schema_file_is_current() -> None:
    """Written by: json.dumps(case_schema(), indent=2, ensure_ascii=False), and a line feed."""
    text = (_DOCS / "schemas" / "case-file.schema.json").read_text(encoding="utf-8")
    assert text == json.dumps(case_schema(), indent=2, ensure_ascii=False) + "\n"


def test_schema_is_one_and_accepts_sound_cases(two_tanks: str) -> None:
    schema = case_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert "x-flowsim" not in json.dumps(schema)
    validator = jsonschema.Draft202012Validator(schema)
    for text in (two_tanks, starter_text("x")):
        assert list(validator.iter_errors(tomllib.loads(text))) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('draw = "1 US_qt"', "draw = 1"),
        ('draw = "1 US_qt"', 'draw = "1 gal"'),
        ('draw = "1 US_qt"', 'draw = "1 in"'),
        ('draw = "1 US_qt"', 'drew = "1 US_qt"'),
        ('shape = "box"', 'shape = "sphere"'),
        ("fill_factor = 0.95", "fill_factor = 1.95"),
        ('at = ["15 in", "0 in", "20 in"]', 'at = ["15 in", "0 in"]'),
    ],
)
def test_schema_refuses_mistakes_of_form(old: str, new: str, two_tanks: str) -> None:
    data = tomllib.loads(two_tanks.replace(old, new))
    assert list(jsonschema.Draft202012Validator(case_schema()).iter_errors(data))


@pytest.mark.parametrize("section", _SECTIONS, ids=lambda section: section.__name__)
def test_every_key_is_described_and_its_example_is_accepted(section: type[CaseSection]) -> None:
    for name, field in section.model_fields.items():
        key = field.alias or name
        assert field.description, key
        for example in field.examples or ():
            assert key not in _refused_keys(section, {key: example})


def _refused_keys(section: type[CaseSection], data: dict[str, object]) -> set[str | int]:
    try:
        section.model_validate(data)
    except ValidationError as error:
        return {detail["loc"][0] for detail in error.errors()}
    return set()


def test_reference_page_names_everything() -> None:
    page = case_reference()
    for section in _SECTIONS:
        for name, field in section.model_fields.items():
            assert f"`{field.alias or name}`" in page
    for name in (*CATALOGUE, *DEVICES):
        assert f"| {name} |" in page
    for kind in KINDS:
        assert all(f"`{unit}`" in page for unit in kind.units if kind.name != "mass")
    assert "an estimate, not an approval" in page
