"""The JSON result: it fits its schema, documents every key, and never holds a NaN."""

import copy
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from flowsim.document.words.standing import ALWAYS
from flowsim.errors import DomainError
from flowsim.files.results.check_json import check_json, check_object
from flowsim.studies.result import AdequacyResult, Verdict
from flowsim.system.fuel_system import FuelSystem

SCHEMA: dict[str, Any] = json.loads(
    (Path(__file__).parents[3] / "docs/schemas/check.schema.json").read_text(encoding="utf-8")
)
DIGEST = "0" * 64


def test_schema_is_itself_valid():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("which", ["result", "nominal_result", "quiet_result"])
def test_output_fits_the_schema_and_the_schema_knows_every_key(
    system: FuelSystem, which: str, request: pytest.FixtureRequest
):
    answer = request.getfixturevalue(which)
    made = json.loads(check_json(system, answer, "cases/x.toml", DIGEST))
    jsonschema.Draft202012Validator(closed(SCHEMA)).validate(made)


def closed(schema: dict[str, Any]) -> dict[str, Any]:
    """The schema with unknown keys refused, so that no key goes undocumented."""
    schema = copy.deepcopy(schema)

    def close(node: Any) -> None:
        if isinstance(node, dict):
            if "properties" in node and "additionalProperties" not in node:
                node["additionalProperties"] = False
            for value in node.values():
                close(value)
        elif isinstance(node, list):
            for value in node:
                close(value)

    close(schema)
    return schema


def test_schema_refuses_a_missing_key(system: FuelSystem, nominal_result: AdequacyResult):
    made = check_object(system, nominal_result, "x.toml", DIGEST)
    del made["cautions"]
    with pytest.raises(jsonschema.ValidationError, match="cautions"):
        jsonschema.Draft202012Validator(SCHEMA).validate(made)


def test_numbers_that_do_not_exist_are_null(system: FuelSystem, quiet_result: AdequacyResult):
    text = check_json(system, quiet_result, "x.toml", DIGEST)
    assert "NaN" not in text
    assert "Infinity" not in text
    deciding = json.loads(text)["deciding"]
    assert deciding["flow_kg_per_h"] is None
    assert deciding["percent_of_required"] is None
    assert deciding["flow_p05_kg_per_h"] is None
    assert deciding["converged"] is False


def test_unmeasured_says_what_it_means(system: FuelSystem, result: AdequacyResult):
    made = check_object(system, result, "x", DIGEST)
    listed = made["unmeasured"]
    assert [entry["part"] for entry in listed] == [item.part for item in result.unmeasured]
    rows = {row.key: row for path in result.losses for row in path.rows}
    assert rows
    shares = [entry["share"] for entry in listed if entry["share"] is not None]
    assert shares == sorted(shares, reverse=True)
    for entry in listed:
        assert (entry["share"] is None) == (entry["loss_mm"] is None)
    # The losses stand first among the assumptions, in the same order.
    for entry, words in zip(listed, made["assumptions"], strict=False):
        assert words.startswith(entry["part"])
        assert entry["measure"] in words
    counts = made["not_measured"]
    assert counts["catalogue_losses"] == sum(entry["tag"] != "not said" for entry in listed)
    assert counts["source_not_said"] == len(system.not_said)


def test_requirement_is_the_published_example(system: FuelSystem, result: AdequacyResult):
    # AC 90-89A (24 May 1995; later edition AC 90-89B), fuel flow check, read: 0.55 lb/bhp/h and
    # 100 hp ask for 82.5 lb/h with gravity feed.
    requirement = check_object(system, result, "x", DIGEST)["requirement"]
    assert isinstance(requirement, dict)
    assert requirement["required_lb_per_h"] == pytest.approx(82.5, rel=1e-12)
    assert requirement["required_kg_per_h"] == pytest.approx(82.5 * 0.45359237, rel=1e-12)
    assert requirement["factor"] == 1.5


def test_percentages_and_shares_hang_together(system: FuelSystem, result: AdequacyResult):
    made = json.loads(check_json(system, result, "x", DIGEST))
    for scenario in made["scenarios"]:
        flow = scenario["flow_kg_per_h"]
        required = scenario["required_kg_per_h"]
        assert scenario["percent_of_required"] == pytest.approx(100 * flow / required)
        burn = made["requirement"]["burn_kg_per_h"]
        assert scenario["percent_of_burn"] == pytest.approx(100 * flow / burn)
    for path in made["losses"]:
        total = sum(part["loss_mm"] for part in path["parts"])
        assert total == pytest.approx(path["head_available_mm"], abs=1e-3)


def test_order_is_stable_and_text_is_ascii(system: FuelSystem, result: AdequacyResult):
    odd = replace(result, title="Grün \ud800 [x]")
    text = check_json(system, odd, "x", DIGEST)
    assert text == check_json(system, odd, "x", DIGEST)
    assert text.isascii()
    assert text.endswith("}\n")
    assert list(json.loads(text))[:4] == ["schema", "case", "requirement", "verdict"]


def test_standing_cautions_come_first_even_where_a_result_has_none(
    system: FuelSystem, result: AdequacyResult
):
    made = check_object(system, replace(result, cautions=()), "x", DIGEST)
    assert made["cautions"] == list(ALWAYS)


def test_words_of_the_verdict_are_kept(system: FuelSystem, result: AdequacyResult):
    open_only = replace(result, verdict=Verdict.ADEQUATE, verdict_words="adequate, open line only")
    assert check_object(system, open_only, "x", DIGEST)["verdict"] == "adequate, open line only"


def test_deciding_scenario_must_exist(system: FuelSystem, result: AdequacyResult):
    with pytest.raises(DomainError, match="deciding scenario 99999"):
        check_object(system, replace(result, deciding=99999), "x", DIGEST)
