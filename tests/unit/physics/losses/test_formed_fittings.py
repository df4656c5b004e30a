"""Losses of shapes and of catalogued fittings: published laws, bands, names and edges."""

import math

import fluids.fittings
import pytest

from flowsim.errors import DomainError
from flowsim.physics.losses.fitting_catalogue import (
    CATALOGUE,
    FITTING_RANGE,
    cv_to_kv,
    fitting,
    tee_losses,
)
from flowsim.physics.losses.formed_fittings import bend, hose_barb, sudden_change
from flowsim.system.bands import Exact, LognormalEnds
from flowsim.system.lines import Tee
from flowsim.system.points import Point

BORE = 8e-3
RIGHT = 0.5 * math.pi

# K1 at 5 %, at the median and at 95 %: Hooper's and Darby's constants, wider where none is known.
LAMINAR = {
    "flush outlet": (100 / 3, 100.0, 300.0),
    "standpipe outlet": (50.0, 150.0, 450.0),
    "straight union": (50 / 3, 50.0, 150.0),
    "bulkhead union": (50 / 3, 50.0, 150.0),
    "hose barb": (200 / 3, 200.0, 600.0),
    "elbow 45": (200.0, 500.0, 1000.0),
    "elbow 90": (500.0, 1000.0, 1500.0),
    "tube bend 90": (100.0, 300.0, 500.0),
    "tee run": (100.0, 200.0, 400.0),
    "tee turn": (500.0, 800.0, 1000.0),
    "tee runs to branch": (500.0, 800.0, 1000.0),
    "ball valve": (90.0, 300.0, 600.0),
    "selector": (300.0, 500.0, 1000.0),
    "sediment bowl": (500.0, 1500.0, 2500.0),
}


class TestCatalogue:
    @pytest.mark.parametrize("name", LAMINAR)
    def test_laminar_constants_and_their_bands(self, name) -> None:
        low, usual, high = LAMINAR[name]
        row = CATALOGUE[name]
        assert row.k_laminar == usual
        assert isinstance(row.laminar_band, LognormalEnds)
        assert row.laminar_band.middle == 1.0
        assert usual * row.laminar_band.low == pytest.approx(low)
        assert usual * row.laminar_band.high == pytest.approx(high)
        assert row.reynolds_range == FITTING_RANGE == (0.0, 1e6)

    def test_rows_the_note_leaves_to_arithmetic(self) -> None:
        barb, leg = CATALOGUE["hose barb"], CATALOGUE["tee leg to branch"]
        assert (barb.k_inf, leg.k_inf, leg.k_laminar) == (0.7, 0.7, 0.0)
        assert leg.laminar_band == Exact()
        assert set(CATALOGUE) == {*LAMINAR, "tee leg to branch"}

    def test_one_fitting_unless_told(self) -> None:
        assert fitting("elbow 90", BORE).count == 1
        assert fitting("elbow 90", BORE, count=1).count == 1
        assert fitting("elbow 90", 0.999).bore == 0.999

    @pytest.mark.parametrize("bore", [1.0, 1.5])
    def test_a_bore_in_millimetres_by_mistake(self, bore) -> None:
        with pytest.raises(DomainError, match=f"bore {bore} m of elbow 90 must be"):
            fitting("elbow 90", bore)
        with pytest.raises(DomainError, match=f"bore {bore} m of at the firewall must be"):
            fitting("elbow 90", bore, "at the firewall")

    def test_a_count_of_nothing_names_the_part(self) -> None:
        with pytest.raises(DomainError, match="count 0 of elbow 90 must"):
            fitting("elbow 90", BORE, count=0)
        with pytest.raises(DomainError, match="count -1 of at the firewall must"):
            fitting("elbow 90", BORE, "at the firewall", -1)

    def test_an_unknown_kind_lists_the_known(self) -> None:
        with pytest.raises(DomainError, match='known are "flush outlet", "standpipe outlet", "str'):
            fitting("reducer", BORE)

    @pytest.mark.parametrize("common", ["left", "down"])
    def test_losses_of_a_tee_are_named_after_it(self, common) -> None:
        at = Point(0.0, 0.0, 0.0)
        tee = Tee(name="T", at=at, run=("left", "right"), branch="down", common=common, bore=7e-3)
        for _, part in tee_losses(tee):
            assert part.name == f"T, {part.kind}"
            assert part.bore == 7e-3

    def test_flow_coefficient_from_the_units_own_definitions(self) -> None:
        """A US gallon is 231 cubic inches, a pound 0.45359237 kg, g 9.80665 m/s2: all exact."""
        gallons_per_minute = 231 * 0.0254**3 * 60  # m3/h
        psi = 0.45359237 * 9.80665 / 0.0254**2
        expected = 2.5 * gallons_per_minute * math.sqrt(1e5 / psi)
        assert cv_to_kv(2.5) == pytest.approx(expected, rel=1e-12)


class TestBend:
    @pytest.mark.parametrize("bores", [1.0, 1.5, 2.0, 2.5])
    def test_tight_bends_grow_as_rennels_do(self, bores) -> None:
        """Rennels and Hudson 2012 as coded in fluids, f 0.031, less the arc's own friction."""

        def rennels(radius):
            f = 0.031
            whole = fluids.fittings.bend_rounded(
                Di=BORE, angle=90.0, fd=f, rc=radius * BORE, method="Rennels"
            )
            return whole - f * RIGHT * radius

        part = bend(RIGHT, bores * BORE, BORE, "b")
        growth = rennels(bores) / rennels(3.0)
        assert part.k_inf == pytest.approx(0.25 * growth, rel=1e-9)
        assert part.k_laminar == pytest.approx(300.0 * growth, rel=1e-9)

    def test_values_that_the_text_names(self) -> None:
        assert bend(RIGHT, BORE, BORE, "b").k_inf == pytest.approx(0.70, abs=0.01)
        assert bend(RIGHT, 2 * BORE, BORE, "b").k_inf == pytest.approx(0.32, abs=0.005)

    @pytest.mark.parametrize(
        ("degrees", "share"),
        [(30.0, 0.5), (45.0, math.sqrt(0.5)), (90.0, 1.0), (120.0, 4.0 / 3.0), (180.0, 2.0)],
    )
    @pytest.mark.parametrize("bores", [1.5, 4.0])
    def test_both_constants_go_with_the_angle(self, degrees, share, bores) -> None:
        """Sine to a right angle, then the angle (upper envelope of Idelchik's, from memory)."""
        part = bend(math.radians(degrees), bores * BORE, BORE, "b")
        right = bend(RIGHT, bores * BORE, BORE, "b")
        assert part.k_inf == pytest.approx(share * right.k_inf, rel=1e-12)
        assert part.k_laminar == pytest.approx(share * right.k_laminar, rel=1e-12)

    def test_says_what_it_is(self) -> None:
        part = bend(math.radians(60.0), 3.5 * BORE, BORE, "over the door")
        row = CATALOGUE["tube bend 90"]
        assert (part.name, part.kind, part.bore, part.count) == (
            "over the door", "tube bend 90", BORE, 1,
        )  # fmt: skip
        assert (part.band, part.laminar_band) == (row.band, row.laminar_band)
        assert part.source == "tube bend 60 deg, radius 3.5 bores"

    def test_names_what_it_refuses(self) -> None:
        with pytest.raises(DomainError, match=r'bend "b": radius 5 mm is below one bore \(8 mm\)'):
            bend(1.0, 5e-3, BORE, "b")
        with pytest.raises(DomainError, match="radius inf mm"):
            bend(1.0, math.inf, BORE, "b")
        with pytest.raises(DomainError, match="angle 270 deg"):
            bend(1.5 * math.pi, 4 * BORE, BORE, "b")
        with pytest.raises(DomainError, match=r'"b": bore \[m\]'):
            bend(1.0, 4 * BORE, 0.0, "b")


class TestSteps:
    def test_says_what_it_is(self) -> None:
        widening, narrowing = sudden_change(6.4e-3, 9.5e-3), sudden_change(9.5e-3, 6.4e-3)
        assert (widening.name, widening.kind, widening.source) == (
            "step of bore 6.40 to 9.50 mm", "expansion", "Borda-Carnot",
        )  # fmt: skip
        assert (narrowing.name, narrowing.kind, narrowing.source) == (
            "step of bore 9.50 to 6.40 mm", "contraction", "Rennels and Hudson 2012",
        )  # fmt: skip
        assert widening.bore == narrowing.bore == 6.4e-3
        assert widening.band == LognormalEnds(0.9, 1.1)
        assert narrowing.band == LognormalEnds(0.8, 1.2)
        assert widening.laminar_band == narrowing.laminar_band == LognormalEnds(0.3, 4.0)

    def test_laminar_constants_by_hand(self) -> None:
        """270 and 200 times one less the ratio of areas: half the area, half of each."""
        large = BORE * math.sqrt(2.0)
        assert sudden_change(BORE, large).k_laminar == pytest.approx(135.0)
        assert sudden_change(large, BORE).k_laminar == pytest.approx(100.0)

    @pytest.mark.parametrize(
        ("widens", "areas", "measured"),
        [(True, 1.52, 88.0), (True, 1.97, 139.0), (False, 0.66, 59.0), (False, 0.445, 110.0)],
    )
    def test_laminar_constants_meet_measurements(self, widens, areas, measured) -> None:
        """Edwards, Jadallah and Smith, Chem. Eng. Res. Des. 63 (1985) 43 (from memory)."""
        part = sudden_change(BORE, BORE * math.sqrt(areas))
        assert part.kind == ("expansion" if widens else "contraction")
        assert part.k_laminar == pytest.approx(measured, rel=0.16)


class TestBarb:
    def test_is_a_contraction_and_an_expansion(self) -> None:
        """fluids: contraction_sharp (Rennels) and diffuser_sharp (Borda-Carnot)."""
        part, row = hose_barb(9.5e-3, 6.4e-3, "at the tank"), CATALOGUE["hose barb"]
        into = fluids.fittings.contraction_sharp(9.5e-3, 6.4e-3, method="Rennels")
        out = fluids.fittings.diffuser_sharp(6.4e-3, 9.5e-3, method="Rennels")
        assert part.k_inf == pytest.approx(into + out, rel=1e-9)
        assert part.k_laminar == pytest.approx(470.0 * (1.0 - (6.4 / 9.5) ** 2), rel=1e-12)
        assert (part.name, part.kind, part.bore) == ("at the tank", "hose barb", 6.4e-3)
        assert (part.band, part.laminar_band) == (row.band, row.laminar_band)
        assert part.source == "Rennels and Hudson 2012 and Borda-Carnot"

    def test_a_barb_as_wide_as_its_hose_loses_nothing(self) -> None:
        part = hose_barb(BORE, BORE, "b")
        assert (part.k_inf, part.k_laminar) == pytest.approx((0.0, 0.0))

    def test_names_both_bores_when_refused(self) -> None:
        with pytest.raises(DomainError, match=r'"b": barb bore 9\.5 mm .* hose \(6\.4 mm\)'):
            hose_barb(6.4e-3, 9.5e-3, "b")
