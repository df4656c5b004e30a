"""The form is the format: every key of it, in its order, with what may be written."""

import tomllib

import pytest

from flowsim.files.case import form as case_form
from flowsim.files.case.form import field_at, form, forms, keys_at, section_at
from flowsim.files.case.models_lines import CaseFile, LineSection
from flowsim.files.case.models_tanks import OutletSection
from flowsim.files.case.schema import case_reference
from flowsim.files.toml.spans import KeyPath
from tests.support.random_edits import paths, texts

KINDS = {"quantity", "number", "point", "tube", "band", "text", "choice", "yes_no", "count",
         "names", "map", "list", "section", "sections"}  # fmt: skip


def test_every_section_of_the_reference_has_its_form() -> None:
    reference = case_reference()
    for name, fields in forms().items():
        assert fields, name
        for field in fields:
            assert field.kind in KINDS
            assert f"`{field.key}`" in reference
            assert field.words
            assert (field.kind == "quantity") <= bool(field.units)
            assert (field.kind == "choice") == bool(field.choices)
            assert (field.kind in ("section", "sections")) == bool(field.section)


def test_fields_say_what_to_write() -> None:
    found = {field.key: field for field in form(LineSection)}
    assert found["via"].item == "point"
    assert found["bore"].units[:2] == ("in", "ft")
    assert found["from"].required
    assert not found["tube"].required
    assert found["kind"].choices == ("tube", "hose")
    assert found["installation"].section == "InstallationSection"


@pytest.mark.parametrize("name", texts())
def test_every_value_of_a_case_has_its_field(name: str) -> None:
    for path in paths(tomllib.loads(texts()[name])):
        assert field_at(path) is not None


PLACES: dict[KeyPath, object] = {
    (): CaseFile, ("line", 3): LineSection, ("tank", 0, "outlet", 1): OutletSection,
    ("tank", 0, "name"): None, ("nothing",): None,
}  # fmt: skip


@pytest.mark.parametrize("path", PLACES)
def test_sections_are_found_by_path(path: KeyPath) -> None:
    assert section_at(path) is PLACES[path]


def test_keys_have_the_order_of_the_reference() -> None:
    assert keys_at(("engine",))[:3] == ("inlet_at", "feed", "burn")
    assert keys_at(("title",)) == ()
    assert field_at(("tank", 0, "odd")).key == "tank"
    assert field_at(("odd",)) is None
    assert case_form.form(CaseFile) is case_form.form(CaseFile)
