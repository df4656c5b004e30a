"""Where a drawn input acts: each input alone moved, against its law worked out by hand."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.network.assembly import Assembly, assemble
from flowsim.network.elements import PlacedPart
from flowsim.physics.losses.fitting_catalogue import COMMON_FITTING_BAND, EXIT_BAND, FRICTION_BAND
from flowsim.physics.losses.laws import loss_law
from flowsim.studies.sampling.calibration import inputs_on_ground
from flowsim.studies.sampling.causes import (
    cause_of,
    has_spread,
    quantile,
    uncertain_inputs,
)
from flowsim.studies.sampling.cautious_end import cautious_draw
from flowsim.studies.sampling.draws import Draws, batches, draw, draws_from, nominal_draws
from flowsim.system.bands import Band, Exact, Lognormal, Normal, Triangular
from flowsim.system.calibration import Calibration
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Pipe,
    QuadraticLoss,
)
from tests.support.systems import BORE, one_tank

WIDE = Lognormal(1.4)
PARTS = (
    Pipe(
        name="stated", length=1.0, bore=BORE, roughness=0.0, friction_factor=0.03,
        bore_band=Normal(0.02),
    ),
    MinorLoss(
        name="both", kind="fitting", bore=BORE, k_inf=2.0, k_laminar=500.0, band=WIDE,
        laminar_band=Lognormal(2.0),
    ),
    MinorLoss(
        name="turbulent only", kind="other fitting", bore=BORE, k_inf=2.0, k_laminar=9.0, band=WIDE
    ),
    FlowCoefficient(name="meter", kind="meter", bore=BORE, kv=1.0, k_laminar=5.0, band=WIDE),
    Orifice(name="hole", kind="hole", bore=5e-3, discharge_coefficient=0.6, band=Normal(0.05)),
    OneWayValve(name="valve", bore=BORE, cracking_pressure=0.0, kv=1.0, band=WIDE),
    MeasuredDrop(
        name="filter", kind="filter", bore=BORE, flows=(1e-5,), drops=(500.0,), density=720.0,
        band=WIDE,
    ),
    QuadraticLoss(name="loss", kind="loss", bore=BORE, coefficient=1e6, band=Triangular(0.5, 1, 2)),
    QuadraticLoss(name="sure", kind="sure", bore=BORE, coefficient=1e6),
)  # fmt: skip


def band_of(placed: PlacedPart) -> Band:
    return loss_law(placed.part).band(placed.part)


def system_of_all_parts(**given) -> FuelSystem:
    base = one_tank(**given)
    (down,) = base.lines
    fuel = replace(base.fuel, viscosity_band=Normal(0.1))
    vent = replace(base.tanks[0].vent, coefficient_low=-1.0, coefficient_high=0.5, group="cap")
    return replace(
        base,
        lines=(replace(down, parts=(down.parts[0], *PARTS)),),
        tanks=(replace(base.tanks[0], vent=vent),),
        fuel=fuel,
    )


@pytest.fixture(scope="module")
def assembly() -> Assembly:
    return assemble(system_of_all_parts())


def moved(assembly: Assembly, key: str, share: float) -> Draws:
    """Everything at its median but one input."""
    inputs = uncertain_inputs(assembly)
    probability = np.full((1, len(inputs)), 0.5)
    (column,) = (index for index, item in enumerate(inputs) if item.key == key)
    probability[0, column] = share
    return draws_from(assembly, probability)


def key_of(assembly: Assembly, name: str) -> tuple[str, int]:
    (index,) = (i for i, p in enumerate(assembly.network.placed) if p.part.name == name)
    return cause_of(assembly.network.placed[index]), index


def value(band, share: float) -> float:
    return float(quantile(band, np.array([share]))[0])


class TestPlaces:
    @pytest.mark.parametrize("share", [0.1, 0.9])
    def test_friction_acts_on_tubes_and_on_stated_friction(self, assembly, share):
        found = moved(assembly, "friction", share)
        factor = value(FRICTION_BAND, share)
        assert found.factors.friction == pytest.approx(factor)
        assert found.factors.loss[0, key_of(assembly, "stated")[1]] == pytest.approx(factor)
        assert found.factors.bore == pytest.approx(1.0)

    @pytest.mark.parametrize("share", [0.1, 0.9])
    def test_the_make_of_fittings_acts_on_fittings_alone(self, assembly, share):
        found, still = moved(assembly, "fittings", share), moved(assembly, "fittings", 0.5)
        ratio = found.factors.loss[0] / still.factors.loss[0]
        factor = value(COMMON_FITTING_BAND, share) / value(COMMON_FITTING_BAND, 0.5)
        for index, placed in enumerate(assembly.network.placed):
            expected = factor if isinstance(placed.part, MinorLoss) else 1.0
            assert ratio[index] == pytest.approx(expected)
        np.testing.assert_array_equal(found.factors.laminar, still.factors.laminar)

    @pytest.mark.parametrize("share", [0.1, 0.9])
    @pytest.mark.parametrize(
        ("name", "loss", "laminar"),
        [
            # h goes with D^-5 at a stated friction factor; with Cd^-2 and Kv^-2.
            ("stated", lambda f, g: f**-5, lambda f, g: 1.0),
            ("both", lambda f, g: f, lambda f, g: g),
            ("turbulent only", lambda f, g: f, lambda f, g: 1.0),
            ("meter", lambda f, g: f**-2, lambda f, g: f**-2),
            ("hole", lambda f, g: f**-2, lambda f, g: f**-2),
            ("valve", lambda f, g: f**-2, lambda f, g: f**-2),
            ("filter", lambda f, g: f, lambda f, g: f),
            ("loss", lambda f, g: f, lambda f, g: f),
        ],
    )
    def test_each_part_by_its_own_law(self, assembly, name, loss, laminar, share):
        key, index = key_of(assembly, name)
        part = assembly.network.placed[index].part
        found = moved(assembly, key, share)
        factor = value(band_of(assembly.network.placed[index]), share)
        second = value(getattr(part, "laminar_band", Exact()), share)
        common = value(COMMON_FITTING_BAND, 0.5) if isinstance(part, MinorLoss) else 1.0
        # The stated friction factor also carries the median of the friction's band.
        common *= value(FRICTION_BAND, 0.5) if name == "stated" else 1.0
        assert found.factors.loss[0, index] == pytest.approx(common * loss(factor, second))
        assert found.factors.laminar[0, index] == pytest.approx(laminar(factor, second))

    def test_a_tube_is_drawn_by_its_bore(self, assembly):
        key, index = key_of(assembly, "down")
        found = moved(assembly, key, 0.9)
        band = assembly.network.placed[index].part.bore_band
        assert found.factors.bore[0, 0] == pytest.approx(value(band, 0.9))
        assert found.factors.loss[0, index] == 1.0
        # All bores are one cause, each with its own band: that of a stated friction moves with it.
        stated = key_of(assembly, "stated")[1]
        factor = value(assembly.network.placed[stated].part.bore_band, 0.9)
        friction = value(FRICTION_BAND, 0.5)
        assert found.factors.loss[0, stated] == pytest.approx(friction * factor**-5)

    def test_an_exact_part_is_not_drawn(self, assembly):
        key, index = key_of(assembly, "sure")
        assert key not in {item.key for item in uncertain_inputs(assembly)}
        found = draw(assembly, 32, 1)
        assert (found.factors.loss[:, index] == 1.0).all()
        assert (found.factors.laminar[:, index] == 1.0).all()

    def test_an_exit_has_its_own_band(self, assembly):
        (placed,) = (p for p in assembly.network.placed if p.key == "open end")
        assert band_of(placed) is EXIT_BAND

    def test_viscosity_height_and_vent(self):
        assembly = assemble(system_of_all_parts(height_deviation=0.004))
        assert moved(assembly, "viscosity", 0.9).viscosity == pytest.approx(1 + 0.1 * 1.2815516)
        assert moved(assembly, "height", 0.9).height == pytest.approx(0.004 * 1.2815516)
        assert moved(assembly, "height", 0.1).height == pytest.approx(-0.004 * 1.2815516)
        assert moved(assembly, "vent cap", 0.2).vent == pytest.approx(-1.0 + 0.2 * 1.5)
        assert moved(assembly, "vent cap", 0.5).height == pytest.approx(0.0)


class TestPlans:
    def test_a_hypercube_takes_the_middle_of_each_slice_once(self, assembly):
        found = draw(assembly, 50, 3)
        middles = (np.arange(50) + 0.5) / 50
        np.testing.assert_allclose(
            np.sort(found.values, axis=0), middles[:, None] + 0 * found.values
        )
        assert found.count == 50
        again = draws_from(assembly, found.values)
        np.testing.assert_allclose(found.factors.loss, again.factors.loss, rtol=1e-12)
        np.testing.assert_allclose(found.viscosity, again.viscosity, rtol=1e-12)
        np.testing.assert_allclose(found.height, again.height, atol=1e-15)

    def test_what_is_nominal_is_as_stated(self, assembly):
        found = nominal_draws(assembly, 3)
        assert found.count == 3
        for values in (found.factors.loss, found.factors.laminar, found.factors.bore):
            assert len(values) == 3
            assert (values == 1.0).all()
        np.testing.assert_array_equal(found.factors.friction, np.ones(3))
        np.testing.assert_array_equal(found.viscosity, np.ones(3))
        np.testing.assert_array_equal(found.height, np.zeros(3))
        stated = assembly.system.tanks[0].vent.pressure_coefficient
        np.testing.assert_array_equal(found.vent, np.full((3, 1), stated))
        assert found.inputs == uncertain_inputs(assembly)
        assert found.values.shape == (3, len(found.inputs))
        assert np.isnan(found.values).all()

    @pytest.mark.parametrize(
        ("count", "size", "sizes"),
        [(5, 10, [5]), (10, 10, [10]), (11, 10, [11]), (12, 10, [10, 2]), (25, 10, [10, 10, 5])],
    )
    def test_batches_are_never_of_one(self, assembly, count, size, sizes):
        found = list(batches(assembly, count, 4, size))
        assert [one.count for one in found] == sizes
        np.testing.assert_array_equal(found[0].values, draw(assembly, sizes[0], 4).values)
        if len(found) > 1:
            second = draw(assembly, sizes[1], [4, sizes[0]]).values
            np.testing.assert_array_equal(found[1].values, second)
        if len(found) > 2:
            assert not np.array_equal(found[1].values[:5], found[2].values)

    def test_a_ground_test_narrows_what_is_drawn(self, assembly):
        """A test that taught viscosity and height: relative to its middle, drawn about it."""
        inputs = uncertain_inputs(assembly)
        keys = tuple(item.key for item in inputs)
        scores, direction = np.zeros(len(keys)), np.zeros(len(keys))
        scores[keys.index("viscosity")] = 1.0
        direction[keys.index("viscosity")] = 1.0
        taught = Calibration(
            keys=keys, scores=tuple(scores), learned=(0.75,), directions=(tuple(direction),),
            viscosity=1.1, height=0.002, source="test",
        )  # fmt: skip
        calibrated = assemble(replace(assembly.system, calibration=taught))
        at_median = draws_from(calibrated, np.full((1, len(keys)), 0.5))
        assert at_median.viscosity[0] == pytest.approx((1 + 0.1) / 1.1)
        assert at_median.height[0] == pytest.approx(-0.002)
        high = moved(calibrated, "viscosity", 0.841344746)  # one deviation, halved by the test
        assert high.viscosity[0] == pytest.approx((1 + 0.1 * 1.5) / 1.1)


class TestInputs:
    def test_each_says_what_it_is_and_what_settles_it(self, assembly):
        inputs = uncertain_inputs(assembly)
        said = {item.key: (told(item.name), told(item.measurement)) for item in inputs}
        assert said["friction"] == (
            "friction of tube and hose",
            "time a flow through one straight length of the tube",
        )
        assert said["fittings"] == (
            "all fittings together (make and burrs)",
            "run the bucket test with the line as built",
        )
        assert said["viscosity"] == (
            "viscosity of the fuel",
            "measure the fuel's viscosity, or test at the coldest fuel",
        )
        assert said["height"] == (
            "height from fuel surface to the line's end",
            "measure the height again, with a water level",
        )
        assert said["vent cap"] == (
            "pressure at the vent (cap)",
            "measure the tank's air pressure in flight against static pressure",
        )
        key, _ = key_of(assembly, "meter")
        assert said[key] == (
            "loss of down: meter",
            "measure the pressure drop of meter on the bench at the required flow",
        )
        key, _ = key_of(assembly, "stated")
        assert said[key][0] == "bore of all tube and hose"
        assert said[key][1].startswith("measure the bore of down and stated (pin gauge")
        bands = {item.key: item.band for item in inputs}
        assert bands["friction"] is FRICTION_BAND
        assert bands["fittings"] is COMMON_FITTING_BAND
        assert bands["viscosity"] == Normal(0.1)
        assert bands["height"] == Normal(1.0)
        assert bands["vent cap"] == Exact()
        assert bands[key_of(assembly, "meter")[0]] == WIDE
        assert len(bands) == len(inputs)

    def test_what_has_no_spread(self):
        system = system_of_all_parts(height_deviation=0.0)
        item = {one.key: one for one in uncertain_inputs(assemble(system))}
        assert not has_spread(system, item["height"])
        assert has_spread(replace(system, height_deviation=0.001), item["height"])
        assert has_spread(system, item["vent cap"])
        sealed = replace(system.tanks[0].vent, coefficient_low=0.5)
        still = replace(system, tanks=(replace(system.tanks[0], vent=sealed),))
        assert not has_spread(still, item["vent cap"])
        assert has_spread(system, item["viscosity"])

    def test_quantiles_of_bands_without_spread(self):
        share = np.array([[0.2, 0.9]])
        np.testing.assert_array_equal(quantile(Exact(), share), np.ones((1, 2)))
        np.testing.assert_array_equal(quantile(Triangular(1.2, 1.2, 1.2), share), [[1.2, 1.2]])
        one_sided = quantile(Triangular(1.0, 1.0, 2.0), np.array([0.0, 0.75, 1.0]))
        np.testing.assert_allclose(one_sided, [1.0, 1.5, 2.0])


class TestVentsByWhatTheyAre:
    """Not by how a key begins: a part may be called anything."""

    @pytest.fixture
    def named(self) -> Assembly:
        return self.with_another("vent side")

    @staticmethod
    def with_another(kind: str) -> Assembly:
        system = system_of_all_parts()
        (line,) = system.lines
        parts = (*line.parts, replace(PARTS[1], kind=kind))
        return assemble(replace(system, lines=(replace(line, parts=parts),)))

    def test_a_ground_test_speaks_of_such_a_part(self, named: Assembly):
        keys = {item.key for item in inputs_on_ground(named)}
        assert "vent side loss" in keys
        assert not keys & {f"vent {tank.vent.group}" for tank in named.system.tanks}

    def test_its_parts_are_at_their_costly_end(self, named: Assembly):
        drawn = cautious_draw(named)
        plain = cautious_draw(self.with_another("plain"))
        assert drawn.factors.loss == pytest.approx(plain.factors.loss)
        assert drawn.factors.laminar == pytest.approx(plain.factors.laminar)
