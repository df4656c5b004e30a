"""The table of laws: every row says all that is asked of it, and a new one needs its head only."""

import numpy as np
import pytest

from flowsim.network.elements import Link, Network, PlacedPart
from flowsim.physics.losses.law_shape import LawForm
from flowsim.physics.losses.laws import LAWS, head_loss
from flowsim.physics.losses.loss_law import LossLaw
from flowsim.system.parts import (
    AnyPart,
    Exit,
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Pipe,
    QuadraticLoss,
    Screen,
    Step,
)

NU = 6e-7
ONE = {"name": "part", "bore": 0.008}
PARTS = {
    Pipe: Pipe(length=1.0, roughness=1.5e-6, **ONE),
    MinorLoss: MinorLoss(kind="stated", k_inf=1.0, **ONE),
    FlowCoefficient: FlowCoefficient(kind="meter", kv=1.0, **ONE),
    Orifice: Orifice(kind="seat", discharge_coefficient=0.6, **ONE),
    Screen: Screen(
        name="part", area=1e-4, wires_per_metre=2362.0, wire_diameter=1.9e-4, clear_fraction=0.9
    ),
    MeasuredDrop: MeasuredDrop(kind="meter", flows=(1e-5,), drops=(100.0,), density=720.0, **ONE),
    QuadraticLoss: QuadraticLoss(kind="stated", coefficient=1e8, **ONE),
    OneWayValve: OneWayValve(cracking_pressure=50.0, kv=1.0, **ONE),
    Exit: Exit(**ONE),
    Step: Step(name="part", bore_from=0.006, bore_to=0.008),
}
"""One of each class of part: a class without one fails the test of its row."""
FLOW = np.array([-2e-5, 0.0, 1e-6, 3e-5])


class CubeLaw(LossLaw[FlowCoefficient]):
    """A law as somebody may add it: h = c Q|Q|^2."""

    title = "cube"
    reference = "invented"

    def form(self, part):
        return LawForm.BY_ITSELF

    def head(self, part, flow, kinematic_viscosity, friction):
        return part.kv * flow * np.abs(flow) ** 2, 3.0 * part.kv * flow**2

    def range(self, part):
        return 0.0, 1000.0

    def numbers(self, part):
        return f"{part.kv:g} s3/m8"

    def terms(self, part, loss, laminar, clear):
        return {"kv": part.kv * loss}


def test_a_law_that_writes_its_head_only_is_ready_for_the_solver():
    part = FlowCoefficient(name="part", kind="stated", bore=0.008, kv=7.0)
    ready = CubeLaw().ready(part, 0.5)
    head, slope = ready.head(FLOW, np.array([NU]), np.array([1.5]))
    assert head == pytest.approx(0.75 * 7.0 * FLOW * np.abs(FLOW) ** 2)
    assert slope == pytest.approx(0.75 * 21.0 * FLOW**2)
    outside, below = ready.flags(FLOW, np.array([NU]))
    assert outside.tolist() == [True, False, False, True]  # Re 5305, rest, 265, 7958
    assert not below.any()


def test_a_row_without_its_words_cannot_be_made():
    class Mute(LossLaw[FlowCoefficient]):
        title = "says no number"

    with pytest.raises(TypeError, match="abstract"):
        Mute()


@pytest.mark.parametrize("kind", LAWS, ids=lambda kind: kind.__name__)
def test_a_row_says_what_the_tables_ask_of_it(kind: type[AnyPart]):
    part, law = PARTS[kind], LAWS[kind]
    assert law.title
    assert law.reference
    assert law.kind(part)
    assert law.title_of(part)
    assert law.source(part) is not None
    assert law.numbers(part)
    assert law.measurement(part)
    assert law.band(part) is not None
    assert isinstance(law.terms(part, 1.0, 1.0, np.nan), dict)


def test_the_wrong_form_is_refused():
    with pytest.raises(TypeError, match="no quadratic form"):
        LAWS[Exit].coefficients(Exit(name="end", bore=0.008))
    with pytest.raises(TypeError, match="no two coefficients"):
        LAWS[MinorLoss].both(MinorLoss(name="k", kind="stated", bore=0.008, k_inf=1.0))


def test_ends_and_steps_lose_in_the_network_what_their_row_says():
    """The solver evaluates them all at once: the same as the row one by one."""
    for part in (Exit(name="end", bore=0.007), Step(name="s", bore_from=0.006, bore_to=0.009)):
        link = Link(name="l", start=0, end=1, parts=(PlacedPart(part=part, key="k", direction=1),))
        exits = Network(("A", "B"), np.array([True, True]), (link,)).exits
        both = LAWS[type(part)].both(part)
        assert (exits.turbulent[0], exits.laminar[0]) == (both.turbulent, both.laminar)
        slow, _ = head_loss(part, 1e-7, NU)
        area = np.pi * part.bore**2 / 4
        assert float(slow) == pytest.approx(both.laminar * (1e-7 / area) ** 2 / 2 / 9.80665)
