"""The picture of a flight marks each event in its own tank, whatever the tank is called."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

from flowsim.reports.figures.flight import _quantity_at
from flowsim.studies.flight.result import EMPTY, OVERFLOW, STARVED, UNCOVERS, FlightEvent
from tests.support.systems import two_tanks


def _system() -> Any:
    """A tank "a", and a tank "a.b": by the letters before the dot both are "a"."""
    system = two_tanks()
    first, second = system.tanks
    return replace(system, tanks=(replace(first, name="a"), replace(second, name="a.b")))


def _event(what: str, item: str) -> FlightEvent:
    return FlightEvent(time=1.0, phase="p", what=what, item=item, quantities=(0.030, 0.002))


def test_an_event_is_marked_at_the_fuel_of_its_tank():
    system, result = _system(), SimpleNamespace(tanks=("a", "a.b"))
    outlets = {tank.name: f"{tank.name}.{tank.outlets[0].name}" for tank in system.tanks}
    found = {
        (what, tank): _quantity_at(system, result, _event(what, item))
        for tank in ("a", "a.b")
        for what, item in ((UNCOVERS, outlets[tank]), (EMPTY, tank), (OVERFLOW, tank))
    }
    for (_, tank), quantity in found.items():
        assert quantity == (0.030 if tank == "a" else 0.002)


def test_what_happens_at_the_engine_is_marked_at_the_least_of_all_tanks():
    result: Any = SimpleNamespace(tanks=("a", "a.b"))
    assert _quantity_at(_system(), result, _event(STARVED, "engine")) == 0.002
