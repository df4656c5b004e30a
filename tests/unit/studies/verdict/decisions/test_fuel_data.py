"""A property of the fuel that was read once: it settles nothing where it would be worse."""

from dataclasses import replace

import pytest

from flowsim.constants import ZERO_CELSIUS
from flowsim.document.words.telling import told
from flowsim.errors import InputError
from flowsim.files.case.reader import read_case, read_case_text
from flowsim.network.assembly import assemble
from flowsim.physics.fuel.catalogue import THINNEST_FUEL
from flowsim.studies.adequacy.brief import judged_table
from flowsim.studies.judged.sweep import sweep_of
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.decisions.fuel_data import fuel_data
from flowsim.studies.verdict.judging import judge_lines
from tests.support.output_samples import CASES

TWICE = """kind = "own"
density = [{ at = "0 degC", value = "815 kg/m3" }, { at = "40 degC", value = "786 kg/m3" }]
viscosity = [{ at = "-5 degC", value = "2.6 cSt" }, { at = "40 degC", value = "1.3 cSt" }]
vapour_pressure = [{ at = "0 degC", value = "20 kPa" }, { at = "35 degC", value = "62 kPa" }]"""


@pytest.fixture(scope="module")
def text():
    text = CASES["one-tank"].read_text("utf-8")
    assert 'temperatures = ["-5 degC", "35 degC"]' in text
    return text.replace('kind = "motor gasoline summer"', TWICE)


def decided(text, **engine):
    system = read_case_text(text, "own")
    assembly = assemble(replace(system, engine=replace(system.engine, **engine)))
    swept = sweep_of(assembly, judged_table(assembly))
    return fuel_data(Evidence(swept=swept, joint=None, lines=judge_lines(swept, None)))


def test_two_readings_of_each_settle_it(text):
    assert decided(text) == ()


def test_a_viscosity_that_no_fuel_has_settles_nothing(text):
    thin = text.replace('"2.6 cSt" }, { at = "40 degC", value = "1.3 cSt" }', '"0.062 cSt" }')
    assert thin != text
    (decision,) = decided(thin)
    assert decision.verdict is Verdict.CANNOT_TELL
    assert told(decision.name) == "viscosity of the fuel"
    assert "thinner than any fuel" in told(decision.found)
    assert "unit" in told(decision.remedy)


@pytest.mark.parametrize("liquid", ["n-Pentane", "n-Butane"])
def test_the_thinnest_liquids_that_burn_are_thicker_than_the_limit(liquid):
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    state = ("T", 293.15, "P", 3e5, liquid)
    assert coolprop.PropsSI("V", *state) / coolprop.PropsSI("D", *state) > THINNEST_FUEL


@pytest.mark.parametrize(
    ("dropped", "name", "found"),
    [
        (', { at = "35 degC", value = "62 kPa" }', "vapour pressure", "read at 0 degC only"),
        ('{ at = "-5 degC", value = "2.6 cSt" }, ', "viscosity", "judged at -5 degC"),
        (', { at = "40 degC", value = "786 kg/m3" }', "density", "judged at 35 degC"),
    ],
)
def test_one_reading_that_would_be_worse_at_a_judged_temperature_settles_nothing(
    text, dropped, name, found
):
    assert dropped in text
    (decision,) = decided(text.replace(dropped, ""))
    assert decision.topic is Topic.FUEL_DATA
    assert told(decision.name) == f"{name} of the fuel"
    assert decision.verdict is Verdict.CANNOT_TELL
    assert found in told(decision.found)
    assert "second temperature" in told(decision.remedy)


@pytest.mark.parametrize(
    ("at", "instead", "name"),
    [
        ('"35 degC", value = "62 kPa"', '"4 degC", value = "24 kPa"', "vapour pressure"),
        ('"-5 degC", value = "2.6 cSt"', '"39 degC", value = "1.31 cSt"', "viscosity"),
        ('"40 degC", value = "786 kg/m3"', '"8 degC", value = "809 kg/m3"', "density"),
    ],
)
def test_two_readings_close_together_settle_little_more_than_one(text, at, instead, name):
    assert at in text
    (decision,) = decided(text.replace(at, instead))
    assert told(decision.name) == f"{name} of the fuel"
    assert " and " in told(decision.found)
    assert "near" in told(decision.remedy)


def test_a_liquid_that_no_engine_burns_settles_nothing_of_its_fuel(text):
    bench = text.replace(TWICE, 'kind = "water"').replace('"-5 degC", "35', '"5 degC", "35')
    decision = next(d for d in decided(bench) if told(d.name) == "liquid of the case")
    assert decision.verdict is Verdict.CANNOT_TELL
    assert "999" in told(decision.found)
    assert "burns" in told(decision.remedy)


def test_a_vapour_pressure_that_hardly_rises_is_a_mistake(text):
    with pytest.raises(InputError, match=r"vapour_pressure, value 2, value: .62.* at least 2\.3 t"):
        read_case_text(text.replace('"20 kPa"', '"55 kPa"'), "own")


@pytest.mark.parametrize(
    "dropped",
    [
        '{ at = "0 degC", value = "20 kPa" }, ',
        ', { at = "40 degC", value = "1.3 cSt" }',
        '{ at = "0 degC", value = "815 kg/m3" }, ',
    ],
)
def test_one_reading_on_the_cautious_side_is_enough(text, dropped):
    assert dropped in text
    assert decided(text.replace(dropped, "")) == ()


def test_fuel_that_is_warmed_at_the_engine_is_hotter_than_its_one_reading(text):
    once = text.replace('{ at = "0 degC", value = "20 kPa" }, ', "")
    (decision,) = decided(once, heat_pickup=10.0)
    assert told(decision.name) == "vapour pressure of the fuel"
    assert "45 degC" in told(decision.found)


def test_a_known_fuel_needs_no_readings():
    system = read_case(CASES["one-tank"])
    assert max(system.temperatures) == pytest.approx(35.0 + ZERO_CELSIUS)
    assembly = assemble(system)
    swept = sweep_of(assembly, judged_table(assembly))
    assert fuel_data(Evidence(swept=swept, joint=None, lines=judge_lines(swept, None))) == ()


@pytest.mark.parametrize(
    ("least", "density", "decides"),
    [
        (1.02, "", True),
        (1.05, "", False),
        (0.99, "", False),
        (1.02, '\ndensity = [{ at = "15 degC", value = "745 kg/m3" }]', False),
    ],
)
def test_a_density_that_nobody_measured_settles_nothing_near_the_mark(least, density, decides):
    """Summer gasoline: 745 kg/m3 is taken, EN 228 allows 720; 3.4 % less arrives by mass then.

    Leaving the density out must not be better than stating the lightest: within that it decides.
    """
    kind = 'kind = "motor gasoline summer"'
    text = CASES["one-tank"].read_text("utf-8")
    system = read_case_text(text.replace(kind, kind + density), "own")
    swept = sweep_of(assemble(system), judged_table(assemble(system)))
    lines = tuple(
        replace(line, least_nominal=least if number == 0 else 3.0)
        for number, line in enumerate(judge_lines(swept, None))
    )
    found = fuel_data(Evidence(swept=swept, joint=None, lines=lines))
    assert [item.verdict for item in found] == ([Verdict.CANNOT_TELL] if decides else [])
    if decides:
        assert "720 kg/m3" in told(found[0].found)
        assert "3.4 % less by mass" in told(found[0].found)
        assert "hydrometer" in told(found[0].remedy)


@pytest.mark.parametrize(
    ("least", "density", "burn_density", "decides"),
    [
        # EN 228 goes up to 775 kg/m3 (from memory), 4.0 % over the 745 that is taken.
        (1.03, "745", "", ["density of the burn"]),
        (1.05, "745", "", []),
        (0.99, "745", "", []),
        (1.03, "745", 'burn_density = "0.74 kg/L"', []),
        # Fuel as heavy as any of its name: the burn can be no heavier.
        (1.001, "775", "", []),
        # Light fuel in the tank says nothing of what the maker burnt: 775/720.
        (1.07, "720", "", ["density of the burn"]),
        # Neither known: 720/745 of 745/775.
        (1.07, "", "", ["density of the fuel", "density of the burn"]),
        (1.08, "", "", []),
    ],
)
def test_a_burn_in_volume_without_its_density_settles_nothing_near_the_mark(
    least, density, burn_density, decides
):
    """Leaving the density of the burn out must not be better than stating the heaviest."""
    kind = 'kind = "motor gasoline summer"'
    read = f'\ndensity = [{{ at = "15 degC", value = "{density} kg/m3" }}]' if density else ""
    text = CASES["one-tank"].read_text("utf-8").replace('burn_density = "0.74 kg/L"', burn_density)
    system = read_case_text(text.replace(kind, kind + read), "own")
    swept = sweep_of(assemble(system), judged_table(assemble(system)))
    lines = tuple(
        replace(line, least_nominal=least if number == 0 else 3.0)
        for number, line in enumerate(judge_lines(swept, None))
    )
    found = fuel_data(Evidence(swept=swept, joint=None, lines=lines))
    assert [told(item.name) for item in found] == decides
    if decides:
        assert "775 kg/m3" in told(found[-1].found)
        assert "burn_density" in told(found[-1].remedy)
