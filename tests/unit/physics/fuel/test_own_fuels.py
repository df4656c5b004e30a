"""Fuels of the user's own, corrections by measurement, blends with ethanol, measured points."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.fuel.catalogue import (
    CATALOGUE,
    density_15_from,
    own_fuel,
    with_ethanol,
    with_measurements,
)
from flowsim.physics.fuel.measured_points import (
    density_through,
    vapour_pressure_through,
    viscosity_through,
    walther_coefficients,
)
from flowsim.physics.fuel.petroleum import petroleum_density
from flowsim.physics.fuel.properties import (
    density,
    kinematic_viscosity,
    property_notes,
    require_range,
    vapour_pressure,
)
from flowsim.system.bands import Exact, Normal, Triangular

ZERO = 273.15
AVGAS = CATALOGUE["avgas 100LL"]
SUMMER = CATALOGUE["motor gasoline summer"]
DENSITIES = ((ZERO + 5.0, 724.0), (ZERO + 25.0, 706.0))  # 715.0 in the middle, at 15 degC
VISCOSITIES = ((ZERO - 20.0, 1.00e-6), (ZERO + 40.0, 0.500e-6))
PRESSURES = ((ZERO + 20.0, 27e3), (ZERO + 45.0, 63e3))
WHOLE = {
    "density_points": DENSITIES,
    "viscosity_points": VISCOSITIES,
    "vapour_points": PRESSURES,
    "band": Normal(0.05),
}


class TestHydrometer:
    @pytest.mark.parametrize("kelvin", [233.15, 333.15, 233.15 - 1e-6, 333.15 + 1e-6])
    def test_reads_to_both_ends_and_forgives_a_microkelvin(self, kelvin) -> None:
        measured = float(petroleum_density(720.0, kelvin))
        assert density_15_from(measured, kelvin) == pytest.approx(720.0, rel=1e-9)

    @pytest.mark.parametrize(
        ("celsius", "said"), [(-40.1, r"-40\.1"), (-40.5, r"-40\.5"), (60.5, r"60\.5")]
    )
    def test_names_the_temperature_it_refuses(self, celsius, said) -> None:
        with pytest.raises(DomainError, match=f"sample at {said} degC"):
            density_15_from(720.0, ZERO + celsius)

    def test_the_laws_own_ends_can_be_read(self) -> None:
        """ASTM D1250 from 653 to 1075 kg/m3 at 15 degC."""
        for end in (653.0, 1075.0):
            for kelvin in (ZERO + 15.0, ZERO + 30.0):
                measured = float(petroleum_density(end, kelvin))
                assert density_15_from(measured, kelvin) == pytest.approx(end, rel=1e-12)

    def test_names_the_density_it_refuses_and_what_it_takes(self) -> None:
        with pytest.raises(DomainError, match=r"density 652 kg/m3 at 15\.0 .* 653 to 1075 kg/m3"):
            density_15_from(652.0, ZERO + 15.0)
        with pytest.raises(DomainError, match=r"density 1076 kg/m3"):
            density_15_from(1076.0, ZERO + 15.0)


class TestOwnFuel:
    def test_holds_what_was_stated(self) -> None:
        fuel = own_fuel("from the can", **WHOLE, ethanol=0.1)
        assert (fuel.name, fuel.source) == ("from the can", "measured by the user")
        assert (fuel.lowest, fuel.highest) == (233.15, 333.15)
        assert (fuel.ethanol, fuel.viscosity_band) == (0.1, Normal(0.05))
        assert (fuel.density_law, fuel.viscosity_law, fuel.vapour_law) == (
            "points", "d341", "points",
        )  # fmt: skip
        assert fuel.density_points == DENSITIES
        assert fuel.density_15 == pytest.approx(715.0, rel=1e-12)
        other = own_fuel("b", **WHOLE, lowest=260.0, highest=310.0, source="certificate 7")
        assert (other.lowest, other.highest, other.source) == (260.0, 310.0, "certificate 7")
        assert other.ethanol == 0.0

    def test_single_values_choose_the_petroleum_laws(self) -> None:
        fuel = own_fuel(
            "own", density_15=720.0, viscosity_points=VISCOSITIES, reid_pressure=60e3,
            distillation_slope=3.0, band=Exact(),
        )  # fmt: skip
        assert (fuel.density_law, fuel.viscosity_law, fuel.vapour_law) == (
            "petroleum", "d341", "reid",
        )  # fmt: skip
        assert (fuel.density_15, fuel.density_points) == (720.0, ())

    def test_one_density_holds_at_every_temperature(self) -> None:
        fuel = own_fuel("own", **{**WHOLE, "density_points": ((ZERO + 30.0, 700.0),)})
        assert fuel.density_15 == 700.0
        assert float(density(fuel, ZERO - 10.0)) == 700.0

    @pytest.mark.parametrize(
        ("change", "words"),
        [
            ({"density_points": ()}, "own: density is stated nowhere"),
            ({"density_15": 715.0}, "own: density is stated twice"),
            ({"vapour_points": ()}, "own: vapour pressure is stated nowhere"),
            ({"reid_pressure": 49e3}, "own: vapour pressure is stated twice"),
            ({"lowest": 300.0, "highest": 300.0}, "own: lowest temperature"),
            ({"density_points": ((288.0, 720.0), (288.0, 715.0))}, "0 K apart"),
            ({"density_points": ((280.0, 720.0), (288.0, 715.0), (300.0, 706.0))}, "3 measured"),
        ],
    )
    def test_refuses(self, change, words) -> None:
        with pytest.raises(DomainError, match=words):
            own_fuel("own", **{**WHOLE, **change})


class TestWithMeasurements:
    def test_says_which_values_were_replaced(self) -> None:
        fuel = with_measurements(
            AVGAS, density_15=708.0, reid_pressure=42e3, viscosity_points=VISCOSITIES
        )
        assert fuel.source.startswith(
            "density, vapour pressure, viscosity as stated by the user; density 715 kg/m3"
        )
        assert "; vapour pressure (replaced): the highest, 49 kPa Reid" in fuel.source
        assert fuel.viscosity_band == AVGAS.viscosity_band
        alone = with_measurements(AVGAS, viscosity_points=VISCOSITIES)
        assert alone.source == f"viscosity as stated by the user; {AVGAS.source}"

    def test_a_band_alone_changes_nothing_else(self) -> None:
        fuel = with_measurements(AVGAS, viscosity_band=Normal(0.03))
        assert fuel == replace(AVGAS, viscosity_band=Normal(0.03))

    def test_density_points_and_back(self) -> None:
        through = with_measurements(SUMMER, density_points=DENSITIES)
        assert (through.density_law, through.density_points) == ("points", DENSITIES)
        assert through.density_15 == pytest.approx(715.0, rel=1e-12)
        back = with_measurements(through, density_15=709.0)
        assert (back.density_law, back.density_15, back.density_points) == ("petroleum", 709.0, ())
        assert float(density(back, ZERO + 15.0)) == pytest.approx(709.0, rel=1e-12)

    @pytest.mark.parametrize(
        ("change", "words"),
        [
            ({"density_15": 710.0, "density_points": DENSITIES}, "100LL: density is stated twice"),
            (
                {"reid_pressure": 45e3, "vapour_points": PRESSURES},
                "100LL: vapour pressure is stated twice",
            ),
            ({"density_points": ()}, "density: 0 measured points"),
        ],
    )
    def test_refuses(self, change, words) -> None:
        with pytest.raises(DomainError, match=words):
            with_measurements(AVGAS, **change)


class TestEthanol:
    @pytest.mark.parametrize(
        ("percent", "rise"),
        [
            (1.0, 3.7), (2.0, 6.0), (3.0, 7.2), (4.0, 7.8), (5.0, 8.0), (6.0, 7.95), (7.0, 7.9),
            (8.5, 7.85), (10.0, 7.8), (15.0, 7.8), (20.0, 7.8),
        ],
    )  # fmt: skip
    def test_reid_pressure_rises_by_the_directives_table(self, percent, rise) -> None:
        """Rise in kPa: Directive 98/70/EC annex III as rounded by 2011/63/EU (from memory).

        Between its rows by straight lines; E15 equals E10 (memorandum of 2012, read).
        """
        blend = with_ethanol(SUMMER, percent / 100.0)
        assert blend.reid_pressure - SUMMER.reid_pressure == pytest.approx(1e3 * rise, abs=0.1)

    def test_name_band_and_source(self) -> None:
        blend = with_ethanol(SUMMER, 0.125)
        assert blend.name == "motor gasoline summer E12.5"
        assert blend.viscosity_band == Triangular(0.83, 1.0, 1.17)  # 15 and 8 % together, +-17 %
        assert blend.source == (f"{SUMMER.source}; 12.5 % ethanol by volume by the blending rules")

    def test_a_stated_reid_pressure_stands(self) -> None:
        assert with_ethanol(SUMMER, 0.05, reid_pressure=55e3).reid_pressure == 55e3
        assert with_ethanol(SUMMER, 0.95, reid_pressure=40e3).reid_pressure == 40e3

    @pytest.mark.parametrize("share", [0.0, -0.1, 0.951, 1.0, float("nan")])
    def test_share_out_of_range(self, share) -> None:
        with pytest.raises(DomainError, match="ethanol share"):
            with_ethanol(SUMMER, share, reid_pressure=55e3)

    def test_rich_blends_need_a_reid_pressure(self) -> None:
        with pytest.raises(DomainError, match=r"summer with 85 % ethanol: state .* Reid"):
            with_ethanol(SUMMER, 0.85)
        with pytest.raises(DomainError, match="Reid"):
            with_ethanol(SUMMER, 0.201)
        with pytest.raises(DomainError, match="Reid"):
            with_ethanol(replace(SUMMER, reid_pressure=None), 0.05)

    @pytest.mark.parametrize(
        "base",
        [
            with_measurements(SUMMER, density_points=DENSITIES),
            with_measurements(SUMMER, viscosity_points=((ZERO + 20.0, 0.6e-6),)),
            CATALOGUE["water"],
            CATALOGUE["motor gasoline winter E10"],
        ],
        ids=["density points", "one viscosity", "water", "blended already"],
    )
    def test_only_a_plain_gasoline_is_blended(self, base) -> None:
        with pytest.raises(DomainError, match="plain gasoline"):
            with_ethanol(base, 0.05, reid_pressure=60e3)


class TestRange:
    def test_ends_count_and_a_microkelvin_is_forgiven(self) -> None:
        require_range(AVGAS, np.array([AVGAS.lowest - 1e-6, AVGAS.highest + 1e-6]))
        for kelvin, said in ((AVGAS.lowest - 0.1, r"-40\.1"), (AVGAS.highest + 0.1, r"60\.1")):
            with pytest.raises(DomainError, match=rf"100LL at {said} degC"):
                require_range(AVGAS, kelvin)

    def test_water_is_liquid_below_boiling_only(self) -> None:
        """Water boils at 99.6 degC under 0.1 MPa (IAPWS-95)."""
        hot = replace(CATALOGUE["water"], highest=ZERO + 110.0)
        require_range(hot, ZERO + 99.5)
        for celsius in (99.6, 100.0):
            with pytest.raises(DomainError, match=rf"water at {celsius:.1f} degC is not liquid"):
                require_range(hot, ZERO + celsius)

    def test_twenty_per_cent_still_expands_like_petroleum(self) -> None:
        blend = with_ethanol(SUMMER, 0.20)
        kelvin = np.array([ZERO - 20.0, ZERO + 50.0])
        expected = petroleum_density(blend.density_15, kelvin)
        np.testing.assert_array_equal(density(blend, kelvin), expected)


def notes_about(fuel, celsius, word):
    notes = property_notes(fuel, ZERO + np.asarray(celsius))
    return [note for note in notes if note.startswith(f"{fuel.name}: {word}")]


class TestNotes:
    def test_the_specifications_reid_pressure_is_named(self) -> None:
        [note] = notes_about(AVGAS, 20.0, "vapour pressure")
        assert "specification's highest, 49.0 kPa (7.11 psi) Reid" in note
        winter = CATALOGUE["motor gasoline winter"]
        assert "110.8 kPa" in notes_about(with_ethanol(winter, 0.1), 20.0, "vapour pressure")[0]
        unknown = replace(AVGAS, reid_pressure=None)
        assert " 0.0 kPa" in notes_about(unknown, 20.0, "vapour pressure")[0]

    @pytest.mark.parametrize(("celsius", "said"), [(39.9, 0), (40.0, 1), (40.5, 1)])
    def test_jet_fuel_from_forty_degrees(self, celsius, said) -> None:
        fuel = CATALOGUE["jet kerosene"]
        assert len(notes_about(fuel, celsius, "published measurements")) == said

    def test_wax_below_freezing_in_diesel_alone(self) -> None:
        diesel = CATALOGUE["diesel"]
        assert len(notes_about(diesel, [-0.1, 20.0], "diesel below 0 degC (32 degF)")) == 1
        assert not notes_about(diesel, 0.0, "diesel below 0 degC (32 degF)")
        assert not notes_about(AVGAS, -10.0, "diesel below 0 degC (32 degF)")
        assert not notes_about(CATALOGUE["jet kerosene"], -10.0, "diesel below 0 degC (32 degF)")

    @pytest.mark.parametrize(
        ("what", "key", "margin"),
        [
            ("density", "density_points", 5.0),
            ("viscosity", "viscosity_points", 20.0),
            ("vapour pressure", "vapour_points", 0.0),
        ],
    )
    def test_how_far_two_points_reach(self, what, key, margin) -> None:
        """Margins in kelvin by the theory page; a microkelvin is forgiven at either end."""
        points = ((ZERO + 10.0, WHOLE[key][0][1]), (ZERO + 20.0, WHOLE[key][1][1]))
        fuel = own_fuel("own", **{**WHOLE, key: points}, lowest=ZERO - 30.0)
        low, high = points[0][0] - margin, points[1][0] + margin
        wanted = f"own: {what} is extrapolated beyond the points measured at 10.0 degC"

        def said(kelvin):
            return [n for n in property_notes(fuel, kelvin) if n.startswith(wanted)]

        assert not said(np.array([low, high]))
        assert not said(low - 1e-6)
        assert not said(high + 1e-6)
        for kelvin in (low - 1e-3, low - 0.6, high + 1e-3, high + 0.6):
            assert len(said(kelvin)) == 1

    def test_one_point_is_held_constant(self) -> None:
        remarks = {
            "density_points": ("density", "it falls by about 0.12 % per kelvin"),
            "viscosity_points": ("viscosity", "colder fuel is thicker and flows less"),
            "vapour_points": ("vapour pressure", "hotter fuel has more, and may boil in the line"),
        }
        for key, (what, remark) in remarks.items():
            fuel = own_fuel("own", **{**WHOLE, key: (WHOLE[key][0],)})
            celsius = WHOLE[key][0][0] - ZERO
            [note] = notes_about(fuel, 22.0, what)
            assert f"is held constant at the value measured at {celsius:.1f} degC" in note
            assert note.endswith(f"; {remark}")

    def test_points_that_no_law_uses_are_not_spoken_of(self) -> None:
        one = ((ZERO + 20.0, 700.0),)
        idle = replace(AVGAS, density_points=one, vapour_points=one)
        assert property_notes(idle, ZERO + 20.0) == property_notes(AVGAS, ZERO + 20.0)
        water = CATALOGUE["water"]
        assert property_notes(replace(water, viscosity_points=one), ZERO + 20.0) == ()
        # A fuel that is not whole yet: nothing to say about points that are not there.
        assert not notes_about(replace(AVGAS, viscosity_points=()), 20.0, "viscosity")

    def test_ethanol(self) -> None:
        rich = with_ethanol(SUMMER, 0.85, reid_pressure=45e3)
        assert notes_about(rich, 20.0, "density") == [
            f"{rich.name}: density is by ideal mixing of gasoline and ethanol by volume"
        ]
        assert len(notes_about(rich, 20.0, "with 85 % ethanol the Reid law")) == 1
        twenty = with_ethanol(SUMMER, 0.20)
        assert not notes_about(twenty, 20.0, "density")
        assert not notes_about(twenty, 20.0, "with 20 %")
        for fuel, celsius, said in (
            (twenty, 45.0, 0), (twenty, 45.5, 1), (twenty, 50.0, 1), (SUMMER, 50.0, 0),
        ):  # fmt: skip
            assert len(notes_about(fuel, celsius, "vapour pressure above 45 degC")) == said


class TestMeasuredPoints:
    def test_density_lies_on_the_line(self) -> None:
        kelvin = np.array([ZERO, ZERO + 15.0, ZERO + 40.0])
        # 18 kg/m3 over 20 K: 0.9 per kelvin, by hand.
        expected = [728.5, 715.0, 692.5]
        np.testing.assert_allclose(density_through(DENSITIES, kelvin), expected, rtol=1e-12)
        np.testing.assert_allclose(density_through(DENSITIES[::-1], kelvin), expected, rtol=1e-12)

    def test_vapour_pressure_is_straight_in_the_reciprocal_of_temperature(self) -> None:
        """Clausius and Clapeyron: equal steps of 1/T give equal ratios of pressure."""
        points = ((250.0, 2e3), (300.0, 20e3))
        third = 1.0 / (2.0 / 300.0 - 1.0 / 250.0)  # 375 K
        assert float(vapour_pressure_through(points, third)) == pytest.approx(200e3, rel=1e-12)

    def test_walther_by_the_note(self) -> None:
        """A and B of three published pairs, computed apart from this code."""
        for cold, warm, a, b in (
            (4.50, 1.31, 9.49561, 4.01131),
            (6.50, 1.57, 9.84123, 4.12257),
            (0.92, 0.463, 8.39778, 3.77039),
        ):
            points = ((ZERO - 20.0, cold * 1e-6), (ZERO + 40.0, warm * 1e-6))
            assert walther_coefficients(points) == pytest.approx((a, b), rel=2e-6)
            assert walther_coefficients(points[::-1]) == walther_coefficients(points)

    def test_walther_meets_measured_jet_fuel(self) -> None:
        """AFRL POSF-10325 and POSF-10264 (Edwards): 9.2 and 6.6 mm2/s at -40 degC (read)."""
        for cold, warm, measured in ((4.50, 1.31, 9.2), (3.50, 1.14, 6.6)):
            points = ((ZERO - 20.0, cold * 1e-6), (ZERO + 40.0, warm * 1e-6))
            got = float(viscosity_through(points, ZERO - 40.0))
            assert got == pytest.approx(measured * 1e-6, rel=0.02)

    def test_walther_ends_at_a_fifth_of_a_square_millimetre(self) -> None:
        """ASTM D341 reaches down to 0.21 mm2/s (from memory)."""
        end = ((ZERO, 0.40e-6), (ZERO + 40.0, 0.21e-6))
        assert float(viscosity_through(end, ZERO + 40.0)) == pytest.approx(0.21e-6, rel=1e-8)
        with pytest.raises(DomainError, match=r"0\.209 mm2/s at 40\.0 degC is below 0\.21"):
            viscosity_through(((ZERO, 0.40e-6), (ZERO + 40.0, 0.209e-6)), ZERO)
        with pytest.raises(DomainError, match=r"would be 0\.20\d mm2/s, below 0\.21"):
            viscosity_through(end, np.array([ZERO, ZERO + 41.0]))

    @pytest.mark.parametrize(
        ("law", "points", "words"),
        [
            (density_through, (), "density: 0 measured points"),
            (viscosity_through, (VISCOSITIES[0],) * 3, "viscosity: 3 measured points"),
            (vapour_pressure_through, ((0.0, 1e3),), "vapour pressure: a measured point is not"),
            (density_through, ((300.0, np.nan),), "density: a measured point is not"),
            (density_through, ((300.0, np.inf),), "density: a measured point is not"),
            (density_through, ((300.0, 0.0),), "density: a measured point is not"),
            (density_through, ((300.0, 700.0), (300.5, 699.0)), r"lie 0\.5 K apart"),
            (
                density_through,
                ((ZERO + 10.0, 700.0), (ZERO + 20.0, 700.0)),
                r"density must fall .* 700 at 10\.0 degC to 700 at 20\.0 degC",
            ),
            (
                vapour_pressure_through,
                ((ZERO + 10.0, 9e3), (ZERO + 20.0, 9e3)),
                r"vapour pressure must rise .* 9000 at 10\.0",
            ),
            (viscosity_through, ((280.0, 1e-6), (300.0, 1e-6)), "viscosity must fall"),
        ],
    )
    def test_refuses(self, law, points, words) -> None:
        with pytest.raises(DomainError, match=words):
            law(points, 300.0)

    def test_one_kelvin_apart_is_enough(self) -> None:
        assert float(density_through(((300.0, 700.0), (301.0, 699.0)), 302.0)) == pytest.approx(
            698.0
        )

    @pytest.mark.parametrize("law", [density, kinematic_viscosity, vapour_pressure])
    def test_one_point_keeps_its_shape(self, law) -> None:
        fuel = own_fuel(
            "own", density_points=DENSITIES[:1], viscosity_points=VISCOSITIES[:1],
            vapour_points=PRESSURES[:1], band=Exact(),
        )  # fmt: skip
        assert law(fuel, np.full((2, 3), 300.0)).shape == (2, 3)
        assert law(fuel, 300.0).dtype == np.float64


def test_kerosene_is_not_blended_with_ethanol() -> None:
    """Its vapour follows another law, which would leave the stated Reid pressure unused."""
    with pytest.raises(DomainError, match="only a plain gasoline"):
        with_ethanol(CATALOGUE["jet kerosene"], 0.10, reid_pressure=60e3)
