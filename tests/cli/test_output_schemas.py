"""Every command's JSON fits the schema published for it in docs/, and each schema is closed.

``check`` and ``report`` have tests of their own. Numbers that do not exist are null: outputs are
also made of answers without any number, and of networks that cannot be solved.
"""

import copy
import dataclasses
import importlib
import json
import math
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import jsonschema
import numpy as np
import pytest

from flowsim.files.results.json_text import json_text
from flowsim.network import solver
from flowsim.network.scenarios import END_NAMES
from flowsim.studies.flight import result as flight_result
from flowsim.studies.flight import transfer
from flowsim.studies.judged import flight_attitudes
from flowsim.studies.judged import scenarios as judged_set
from flowsim.studies.result import OPEN_LINE_ONLY, Verdict
from flowsim.studies.routing import attitudes as routing_attitudes
from flowsim.studies.routing.result import Clearing, Grade
from flowsim.studies.uncertainty import study as uncertainty
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.routing import ObstacleKind
from tests.support.output_samples import CASES, ROOT, texts
from tests.support.strict_json import strict

OTHERS = ("case-file", "check", "report")
"""Published schemas of other files, or with a test of their own."""
SCHEMAS: dict[str, dict[str, Any]] = {
    path.name.removesuffix(".schema.json"): json.loads(path.read_text(encoding="utf-8"))
    for path in sorted((ROOT / "docs" / "schemas").glob("*.schema.json"))
    if path.name.removesuffix(".schema.json") not in OTHERS
}
CHECK = json.loads((ROOT / "docs" / "schemas" / "check.schema.json").read_text(encoding="utf-8"))

VARIANTS = [
    ("size", 'size {one-tank} forward --nominal --sizes "4 mm, 6 mm x 1 mm"'),
    ("size", 'size {one-tank} down --nominal --sizes "50 mm x 1 mm"'),
    ("size", 'size {one-tank} forward --draws 100 --sizes "6 mm x 1 mm"'),
    ("size", 'size {nose-high} down forward --nominal --sizes "6 mm x 1 mm"'),
    ("size", 'size {nose-high} forward --draws 100 --sizes "6 mm x 1 mm"'),
    ("size", "size {one-tank} --largest-loss bowl --least-head --least-fuel --nominal"),
    ("size", "size {nose-high} --least-head --least-fuel --largest-loss bowl --draws 100"),
    ("size", "size {one-tank} --steepest --nominal"),
    ("uncertainty", "uncertainty {nose-high} --draws 600 --samples 8"),
    ("uncertainty", "uncertainty {one-tank} --draws 100 --samples 0"),
    ("what-if", "what-if {nose-high} --nominal"),
    ("what-if", "what-if {nose-high} cold-fuel bowl=2.5 --draws 100"),
    ("what-if", "what-if {one-tank} --nominal"),
    ("compare", "compare {nose-high} {one-tank} --nominal"),
    ("compare", "compare {one-tank} {nose-high} --nominal"),
    ("compare", "compare {nose-high} {wider} --draws 100"),
    ("routing", "routing {humps}"),
    ("routing", "routing {one-tank}"),
    ("routing", "routing {unknown-course}"),
    ("routing", "routing {held}"),
    ("routing", "routing {good}"),
    ("routing", "routing {four-outlets}"),
    ("unusable", "unusable {starter} --blocked-vent"),
    ("unusable", "unusable {nose-high}"),
    ("unusable", "unusable {header}"),
    ("unusable", "unusable {high-header}"),
    ("unusable", "unusable {header-and-wing} --blocked-vent"),
    ("flight", "flight {four-outlets} {short}"),
    ("flight", "flight {one-tank} {starving}"),
    ("flight", "flight {header} {header-flight}"),
    ("transfer", "flight {four-outlets} --transfer"),
    ("transfer", "flight {one-tank} --transfer"),
    ("ground-test-plan", "ground-test plan {nose-high} --draws 100"),
    ("ground-test-plan", "ground-test plan {one-tank} --draws 100 --container '1.5 L' --repeats 4"),
    ("ground-test-fit", "ground-test fit {one-tank} {readings} --draws 100"),
    ("ground-test-fit", "ground-test fit {one-tank} {odd} --no-case --draws 100"),
    ("ground-test-fit", "ground-test fit {one-tank} {slow} --no-case --draws 100"),
    ("ground-test-fit", "ground-test fit {one-tank} {drained} --no-case --draws 100"),
    ("ground-test-plan", "ground-test plan {four-outlets} --draws 100"),
    ("leak-check", "ground-test leak {one-tank}"),
    (
        "leak-check",
        "ground-test leak {one-tank} --volume '1.2 L' --division '0.1 kPa' --minutes 15 "
        "--start-pressure '21 kPa' --end-pressure '20.2 kPa' "
        "--start-temperature '20 degC' --end-temperature '18.5 degC'",
    ),
    ("hand-check", "hand-check {one-tank} --nominal"),
    ("hand-check", "hand-check {starter}"),
]
FIRST = dict(reversed(VARIANTS))
"""One command for each schema, the first."""
PRINTED: dict[str, dict[str, Any]] = {}
"""What a command has printed already, so that it need not run again."""
UNSOLVED = [
    *(line for name, line in VARIANTS if name in ("what-if", "compare", "unusable", "hand-check")),
    VARIANTS[0][1],
    "routing {humps}",
    "flight {one-tank} {starving}",
    "flight {four-outlets} --transfer",
    "ground-test plan {nose-high} --draws 100",
]
"""Commands that answer also where no solve succeeds."""
MAKERS = {
    "size": "studies_json.size_object",
    "edges": "studies_json.edges_object",
    "uncertainty": "studies_json.uncertainty_object",
    "what-if": "studies_json.what_if_object",
    "compare": "studies_json.compare_object",
    "routing": "routing_json.routing_json",
    "unusable": "unusable_json.unusable_json",
    "flight": "flight_json.flight_json",
    "transfer": "flight_json.transfer_json",
    "ground-test-plan": "ground_test_json.plan_object",
    "ground-test-fit": "ground_test_json.fit_object",
    "leak-check": "ground_test_json.leak_object",
}
"""Functions of flowsim.files.results that turn an answer into JSON."""
EDGES = "size {nose-high} --least-head --steepest --nominal"


@pytest.fixture
def words(tmp_path: Path):
    """Turn a command line with names of files into words."""
    files = {name: str(path) for name, path in CASES.items()}
    for name, text in texts().items():
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        files[path.stem] = str(path)
    # A copy, because a fit writes its calibrated case beside the case.
    copied = tmp_path / "one-tank.toml"
    copied.write_bytes(CASES["one-tank"].read_bytes())
    files["one-tank"] = str(copied)
    return lambda command: [word.format(**files) for word in shlex.split(command)]


@pytest.fixture
def printed(run, words, monkeypatch):
    """Run a command with --json and read what it prints, refusing NaN and infinity."""
    # One situation of the transfer will do; the others take long.
    monkeypatch.setattr(transfer, "SITUATIONS", transfer.SITUATIONS[-1:])

    def call(command: str) -> dict[str, Any]:
        said = run(*words(command), "--json")
        assert said.err == ""
        assert said.code in (0, 1, 3)
        return strict(said.out)

    return call


def fits(made: dict[str, Any], schema: dict[str, Any] | None = None) -> None:
    name = made["schema"].removeprefix("flowsim.").removesuffix("/1")
    jsonschema.Draft202012Validator(schema or SCHEMAS[name]).validate(made)


def test_every_form_has_a_schema_and_every_schema_a_command():
    assert set(SCHEMAS) == {name for name, _ in VARIANTS}
    for name, schema in SCHEMAS.items():
        assert schema["title"] == schema["properties"]["schema"]["const"] == f"flowsim.{name}/1"
        assert schema["$id"] == f"urn:flowsim:{name}:1"


@pytest.mark.parametrize(("name", "command"), VARIANTS, ids=[line for _, line in VARIANTS])
def test_output_fits_its_schema(printed, name, command):
    made = printed(command)
    PRINTED[command] = made
    assert made["schema"] == f"flowsim.{name}/1"
    fits(made)


@pytest.mark.parametrize("command", UNSOLVED)
def test_output_fits_where_no_solve_succeeds(printed, monkeypatch, command):
    monkeypatch.setattr(solver, "MOST_ITERATIONS", 0)
    fits(printed(command))


def test_uncertainty_fits_where_a_draw_failed(printed, monkeypatch):
    real = uncertainty.joint_result

    def one_failed(*given: Any, **more: Any) -> Any:
        joint = real(*given, **more)
        joint.trapped[0, 0] = math.nan
        return joint

    monkeypatch.setattr(uncertainty, "joint_result", one_failed)
    made = printed("uncertainty {one-tank} --draws 100 --samples 8")
    fits(made)
    assert (made["failed_draws"], made["verdict"]) == (1, "cannot tell")
    assert made["least_of_all"]["chance"] is None


@pytest.mark.parametrize("name", MAKERS)
def test_no_number_at_all_is_null_and_never_nan(printed, monkeypatch, name):
    module, function = MAKERS[name].split(".")
    found = importlib.import_module(f"flowsim.files.results.{module}")
    real = getattr(found, function)
    made = []

    def also_without(*answer: Any) -> Any:
        for bad in (math.nan, math.inf):
            one = real(*(filled(item, bad) for item in answer))
            made.append(strict(one if isinstance(one, str) else json_text(one)))
        return real(*answer)

    monkeypatch.setattr(found, function, also_without)
    printed(EDGES if name == "edges" else FIRST[name])
    assert len(made) == 2
    for one in made:
        fits(one, with_nulls(SCHEMAS["size" if name == "edges" else name]))


def filled(value: Any, bad: float) -> Any:
    """The same answer with ``bad`` in place of every float; a system stays as it is."""
    if isinstance(value, FuelSystem):
        return value
    if isinstance(value, float):
        return bad
    if isinstance(value, np.ndarray):
        return np.full(value.shape, bad) if value.dtype.kind == "f" else value
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        names = [field.name for field in dataclasses.fields(value) if field.init]
        changed = {name: filled(getattr(value, name), bad) for name in names}
        return dataclasses.replace(value, **changed)
    if isinstance(value, tuple):
        items = [filled(item, bad) for item in value]
        return type(value)(*items) if hasattr(value, "_fields") else tuple(items)
    return [filled(item, bad) for item in value] if isinstance(value, list) else value


def with_nulls(node: Any) -> Any:
    """The schema with null wherever a number may stand."""
    if isinstance(node, list):
        return [with_nulls(item) for item in node]
    if not isinstance(node, dict):
        return node
    made = {key: with_nulls(value) for key, value in node.items()}
    return {**made, "type": ["number", "null"]} if node.get("type") == "number" else made


@pytest.mark.parametrize("name", SCHEMAS)
def test_schema_refuses_an_unknown_and_a_missing_key(printed, name):
    made = shortened(PRINTED.get(FIRST[name]) or printed(FIRST[name]))
    validator = jsonschema.Draft202012Validator(SCHEMAS[name])
    assert validator.is_valid(made)
    places = dict(objects(made))
    assert () in places
    assert ("case",) in places or name in ("compare", "leak-check")
    for place in places.values():
        changed = copy.deepcopy(made)
        node: Any = changed
        for step in place:
            node = node[step]
        node["unknown key"] = {}
        assert not validator.is_valid(changed), place
    for key in made:
        assert not validator.is_valid({k: v for k, v in made.items() if k != key}), key


def shortened(value: Any) -> Any:
    """The same with one row of each table: enough to try every kind of object."""
    if isinstance(value, dict):
        return {key: shortened(item) for key, item in value.items()}
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return [shortened(value[0])]
    return value


def objects(value: Any, place: tuple[Any, ...] = ()) -> Iterator[tuple[Any, Any]]:
    """Where objects are: by the names on the way, and by names and indices."""
    if isinstance(value, dict):
        yield tuple(step for step in place if isinstance(step, str)), place
        for key, item in value.items():
            yield from objects(item, (*place, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from objects(item, (*place, index))


@pytest.mark.parametrize("name", SCHEMAS)
def test_schema_is_valid_closed_and_explains_every_key(name):
    schema = SCHEMAS[name]
    jsonschema.Draft202012Validator.check_schema(schema)
    for node in nodes(schema):
        assert node.get("$ref", "#").startswith("#")
        if node.get("type") == "object":
            assert "additionalProperties" in node
        if "properties" not in node:
            continue
        assert node["additionalProperties"] is False
        if not (name == "size" and node is schema):
            assert node["required"] == list(node["properties"])
        for key, told in node["properties"].items():
            assert "\n" not in told["description"], key
            assert told["description"].endswith("."), key
            assert ("[" in told["description"]) == is_number(told), key


def nodes(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    for item in inner:
        yield from nodes(item)


def is_number(node: Any) -> bool:
    """Whether numbers with a unit stand there, alone, in a list or by name."""
    if not isinstance(node, dict):
        return False
    kinds = node.get("type", ())
    if "number" in ((kinds,) if isinstance(kinds, str) else kinds):
        return True
    return is_number(node.get("items")) or is_number(node.get("additionalProperties"))


def test_parts_that_recur_are_alike():
    scenario = CHECK["$defs"]["scenario"]
    for name, schema in SCHEMAS.items():
        if "scenario" in schema.get("$defs", {}):
            part = schema["$defs"]["scenario"]
            assert part == SCHEMAS["what-if"]["$defs"]["scenario"], name
            assert part["required"] == scenario["required"]
            assert set(part["properties"]) == set(scenario["properties"])
        for key in ("case", "cautions", "versions"):
            known = SCHEMAS["hand-check"]["properties"][key]
            assert schema["properties"].get(key, known) == known, name


def test_closed_sets_of_words_are_those_of_the_code():
    def listed(name: str, key: str) -> list[set[Any]]:
        found = [
            set(node["properties"][key]["enum"])
            for node in nodes(SCHEMAS[name])
            if "enum" in node.get("properties", {}).get(key, {})
        ]
        assert found
        return found

    verdicts = {item.value for item in Verdict}
    said = verdicts | {OPEN_LINE_ONLY}
    assert all(words == said for words in listed("unusable", "verdict"))
    for name in ("size", "uncertainty", "what-if", "compare"):
        found = listed(name, "verdict")
        assert all(words - {None, OPEN_LINE_ONLY} == verdicts for words in found)
        assert any(OPEN_LINE_ONLY in words for words in found), name
    keys = ("CLIMB", "FLIGHT", "UNUSABLE", "DESCENT", "RUN", "DRAWN")
    purposes = {getattr(judged_set, key) for key in keys}
    assert listed("compare", "purpose") == [purposes]
    assert listed("hand-check", "end") == [set(END_NAMES[:2])]
    events = {
        value
        for key, value in vars(flight_result).items()
        if key.isupper() and isinstance(value, str)
    }
    assert listed("flight", "what") == [events]
    assert listed("transfer", "situation") == [{row[0] for row in transfer.SITUATIONS}]
    kinds = {
        getattr(flight_attitudes, key) for key in ("LEVEL", "TURN", "SLIP", "RUN", "FLOWN_SLIP")
    }
    assert all(words == kinds for words in listed("unusable", "attitude"))
    views = {
        value
        for key, value in vars(routing_attitudes).items()
        if key.isupper() and isinstance(value, str)
    }
    assert all(words == views for words in listed("routing", "attitude"))
    assert listed("routing", "grade") == [{item.value for item in Grade}]
    assert listed("routing", "state") == [set(Clearing)]
    assert listed("routing", "kind") == [{"line", *get_args(ObstacleKind)}]
