"""What a draw changes: flows by square root. Which scenarios are drawn: test_joint_proof.py."""

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from flowsim.network.assembly import assemble
from flowsim.network.conditions import Factors, nominal_factors
from flowsim.physics.air.atmosphere import dynamic_pressure
from flowsim.studies.delivery.deliver import take
from flowsim.studies.joint.drawn import drawn_situation
from flowsim.studies.joint.study import JointResult, joint_ratios
from flowsim.studies.judged.scenarios import CLIMB, DRAWN, ScenarioTable
from flowsim.studies.judged.sweep import Sweep, sweep_of
from flowsim.studies.sampling.draws import Draws
from flowsim.system.points import Point
from tests.support.plain_systems import (
    DENSITY,
    GRAVITY,
    VISCOSITY,
    WIDE,
    loss,
    plain,
    reservoir,
    run,
    situation,
)

HEAD = 0.8
RESISTANCE = 5e9
ROUTE = [Point(1, 0, 0.5), Point(1, 0, 0.1), Point(1, 0, 0.3), Point(1, 0, 0.0)]
"""A hump with a leg of 0.3 m behind it, which the little flow of this resistance does not clear."""


@cache
def swept(coefficient: float = 0.0) -> Sweep:
    """Rows: level; 0.4 rad nose-up, drawn only; level in flight at 40 m/s and 1000 m."""
    line = run("feed", "tank.out", "engine", ROUTE, loss(RESISTANCE), bore=WIDE)
    outlets = {"out": ROUTE[0]}
    tank = reservoir("tank", HEAD, outlets, pressure_coefficient=coefficient, bore=WIDE)
    assembly = assemble(plain([tank], [line]))
    scenarios = situation(
        assembly, (0.0, 0.4, 0.0), airspeed=[0.0, 0.0, 40.0], altitude=[0.0, 0.0, 1000.0]
    ).scenarios
    table = ScenarioTable(
        scenarios=scenarios,
        states=(),
        state=np.zeros(3, dtype=np.intp),
        purpose=np.array([CLIMB, DRAWN, CLIMB]),
        required=np.array([0.02, 0.02, 0.04]),
        dirty=np.zeros(3, dtype=bool),
    )
    return sweep_of(assembly, table)


def draws(count: int = 3, **given: Any) -> Draws:
    """Draws that change nothing but what is given."""
    nominal = nominal_factors(swept().assembly.network)
    factors = Factors(
        loss=np.tile(nominal.loss, (count, 1)),
        laminar=np.tile(nominal.laminar, (count, 1)),
        bore=np.tile(nominal.bore, (count, 1)),
        friction=np.ones(count),
    )
    values = {
        "factors": factors,
        "viscosity": np.ones(count),
        "height": np.zeros(count),
        "vent": np.zeros((count, 1)),
        "values": np.full((count, 0), 0.5),
        "inputs": (),
        **given,
    }
    return Draws(**values)


def mass_flow(head: np.ndarray | float, factor: np.ndarray | float = 1.0) -> np.ndarray:
    return DENSITY * np.sqrt(head / (RESISTANCE * np.asarray(factor)))


class TestJointRatios:
    def test_heights_and_losses_of_each_draw(self):
        height, factor = np.array([0.0, 0.1, -0.2]), np.array([1.0, 1.44, 0.64])
        made_draws = draws(height=height)
        factors = replace(made_draws.factors, loss=made_draws.factors.loss * factor[:, None])
        joint = joint_ratios(swept(), np.array([0, 2]), replace(made_draws, factors=factors))
        full = mass_flow(HEAD + height, factor)
        assert joint.full[:, 0] == pytest.approx(full / 0.02, rel=1e-4)
        assert joint.full[:, 1] == pytest.approx(full / 0.04, rel=1e-4)
        # Air in the hump takes 0.3 m off.
        held = mass_flow(HEAD - 0.3 + height, factor)
        assert joint.trapped[:, 0] == pytest.approx(held / 0.02, rel=1e-4)
        assert joint.trapped[:, 1] == pytest.approx(held / 0.04, rel=1e-4)
        assert joint.rows.tolist() == [0, 2]
        assert joint.draws.count == 3

    def test_pressure_at_the_vent_is_drawn_in_flight(self):
        coefficient = np.array([0.0, 0.5, -0.5])
        joint = joint_ratios(swept(), np.array([0, 2]), draws(vent=coefficient[:, None]))
        assert np.ptp(joint.full[:, 0]) == pytest.approx(0.0, abs=1e-9)  # on the ground
        ram = float(dynamic_pressure(40.0, 1000.0))
        head = HEAD + coefficient * ram / (DENSITY * GRAVITY)
        assert joint.full[:, 1] == pytest.approx(mass_flow(head) / 0.04, rel=1e-4)

    def test_a_stated_pressure_is_replaced_by_the_drawn_one(self):
        found = swept(0.4)
        ram = float(dynamic_pressure(40.0, 1000.0)) / (DENSITY * GRAVITY)
        nominal = mass_flow(HEAD + 0.4 * ram) / 0.04
        assert found.ratio[2] == pytest.approx(nominal, rel=1e-4)
        joint = joint_ratios(found, np.array([2]), draws(vent=np.array([[0.4], [0.1], [0.0]])))
        head = HEAD + np.array([0.4, 0.1, 0.0]) * ram
        assert joint.full[:, 0] == pytest.approx(mass_flow(head) / 0.04, rel=1e-4)

    def test_without_a_hump_there_is_nothing_to_take_off(self):
        found = swept()
        none = replace(found.trapped, held_head=np.zeros_like(found.trapped.held_head))
        joint = joint_ratios(replace(found, trapped=none), np.array([0]), draws())
        assert np.array_equal(joint.full, joint.trapped)

    def test_a_failed_nominal_solve_is_no_start_and_no_answer_by_itself(self):
        # The draws are solved from scratch where the nominal flows are not known.
        found = swept()
        flow = found.delivery.solution.flow.copy()
        flow[0] = np.nan
        solution = replace(found.delivery.solution, flow=flow)
        lost = replace(found, delivery=replace(found.delivery, solution=solution))
        joint = joint_ratios(lost, np.array([0]), draws())
        assert joint.full[:, 0] == pytest.approx(np.full(3, mass_flow(HEAD) / 0.02), rel=1e-4)

    def test_where_no_way_leads_nothing_is_solved(self):
        """No factor and no height makes fuel flow from an uncovered outlet."""
        found = swept()
        dry = replace(found.situation, cover=np.full_like(found.situation.cover, -1.0))
        shut = dry.conditions.allowed.copy()
        shut[:, 0] = 0
        nothing = replace(
            found,
            situation=replace(dry, conditions=replace(dry.conditions, allowed=shut)),
            flow=np.zeros_like(found.flow),
            delivery=replace(
                found.delivery,
                solution=replace(
                    found.delivery.solution, flow=np.zeros_like(found.delivery.solution.flow)
                ),
            ),
        )
        joint = joint_ratios(nothing, np.array([0]), draws(2, height=np.array([0.5, -0.5])))
        assert joint.full.tolist() == joint.trapped.tolist() == [[0.0], [0.0]]

    def test_a_head_that_is_wanting_by_a_hair_flows_where_a_draw_gives_it(self):
        found = swept()
        lower = replace(
            found,
            flow=np.zeros_like(found.flow),
            situation=replace(
                found.situation,
                conditions=replace(
                    found.situation.conditions,
                    fixed_head=found.situation.conditions.fixed_head
                    - np.array([HEAD + 0.01, 0.0, 0.0]),
                ),
            ),
        )
        joint = joint_ratios(lower, np.array([0]), draws(2, height=np.array([0.0, 0.05])))
        assert joint.full[0, 0] == pytest.approx(0.0, abs=1e-9)
        assert joint.full[1, 0] == pytest.approx(float(mass_flow(0.04)) / 0.02, rel=1e-4)

    def test_least_within_each_draw(self):
        joint = JointResult(
            rows=np.array([4, 7, 9]),
            full=np.array([[1.0, 2.0, 0.5], [3.0, 2.5, 0.5]]),
            trapped=np.array([[0.9, 0.8, 0.5], [3.0, 2.0, 0.5]]),
            draws=draws(2),
        )
        some = np.array([True, True, False])
        assert joint.least(some, trapped=False).tolist() == [1.0, 2.5]
        assert joint.least(some, trapped=True).tolist() == [0.8, 2.0]


class TestDrawnSituation:
    def test_it_varies_viscosity_heights_and_pressures_and_nothing_else(self):
        found = swept(0.4)
        base = take(found.situation, np.full(2, 2))
        made_draws = draws(
            2,
            viscosity=np.array([1.0, 1.5]),
            height=np.array([0.0, 0.02]),
            vent=np.array([[0.4], [-0.1]]),
        )
        changed = drawn_situation(found.assembly, base, found.table, 2, made_draws)
        ram = float(dynamic_pressure(40.0, 1000.0))
        assert changed.tank_pressure == pytest.approx(ram * np.array([[0.4], [-0.1]]))
        assert changed.conditions.kinematic_viscosity == pytest.approx(
            VISCOSITY * np.array([1.0, 1.5])
        )
        node = found.assembly.outlets[0][0]
        head = HEAD + np.array([0.0, 0.02]) + ram * np.array([0.4, -0.1]) / (DENSITY * GRAVITY)
        assert changed.conditions.fixed_head[:, node] == pytest.approx(head)
        others = np.arange(base.elevation.shape[1]) != node
        before = base.conditions.fixed_head
        after = changed.conditions.fixed_head
        assert np.array_equal(after[:, others], before[:, others], equal_nan=True)
        assert before[0, node] == before[1, node]  # the one given is left alone
        assert changed.elevation is base.elevation
        assert changed.conditions.allowed is base.conditions.allowed
