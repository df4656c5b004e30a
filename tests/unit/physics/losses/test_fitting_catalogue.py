"""The catalogue: complete, consistent with its bands, and strict about names."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.losses.fitting_catalogue import (
    CATALOGUE,
    COMMON_FITTING_BAND,
    FINE_BOWL_BAND,
    FINE_BOWL_CV,
    FLOW_METER_BAND,
    FLOW_METER_CV,
    SCREEN_BAND,
    SEAT_BAND,
    SEAT_DISCHARGE_COEFFICIENT,
    SMALL_BALL_VALVE_BAND,
    SMALL_BALL_VALVE_CV,
    cv_to_kv,
    fitting,
    tee_losses,
)
from flowsim.physics.losses.laws import head_loss
from flowsim.studies.sampling.causes import quantile
from flowsim.system.bands import Exact, LognormalEnds
from flowsim.system.lines import Tee
from flowsim.system.parts import FlowCoefficient
from flowsim.system.points import Point
from flowsim.system.tags import Tag

ENDS = np.array([0.05, 0.5, 0.95])

# K_inf at 5 %, at the median and at 95 %, K1, and the tag of K_inf.
TABLE = {
    "flush outlet": (0.4, 0.5, 0.6, 100, Tag.PUBLISHED),
    "standpipe outlet": (0.45, 0.8, 1.05, 150, Tag.PUBLISHED),
    "straight union": (0.02, 0.10, 0.30, 50, Tag.ESTIMATE),
    "bulkhead union": (0.02, 0.10, 0.30, 50, Tag.ESTIMATE),
    "hose barb": (0.3, 0.7, 2.5, 200, Tag.ESTIMATE),
    "elbow 45": (0.4, 0.9, 1.6, 500, Tag.ESTIMATE),
    "elbow 90": (0.9, 1.5, 2.4, 1000, Tag.ESTIMATE),
    "tube bend 90": (0.1, 0.25, 0.4, 300, Tag.PUBLISHED),
    "tee run": (0.1, 0.5, 1.0, 200, Tag.ESTIMATE),
    "tee turn": (1.2, 1.8, 3.0, 800, Tag.ESTIMATE),
    "tee runs to branch": (1.0, 1.3, 2.5, 800, Tag.FROM_MEMORY),
    "tee leg to branch": (0.4, 0.7, 1.3, 0, Tag.FROM_MEMORY),
    "ball valve": (0.05, 0.15, 0.4, 300, Tag.PUBLISHED),
    "selector": (2.5, 5.5, 16.0, 500, Tag.ESTIMATE),
    "sediment bowl": (3.0, 6.0, 12.0, 1500, Tag.ESTIMATE),
}


@pytest.mark.parametrize("name", TABLE)
def test_values_bands_and_tags(name: str) -> None:
    low, default, high, k_laminar, tag = TABLE[name]
    row = CATALOGUE[name]
    assert (row.k_inf, row.k_laminar, row.tag) == (default, k_laminar, tag)
    assert row.k_inf * quantile(row.band, ENDS) == pytest.approx([low, default, high])


def test_the_table_is_whole() -> None:
    assert set(TABLE) == set(CATALOGUE)


@pytest.mark.parametrize("row", CATALOGUE.values(), ids=lambda row: row.name)
def test_every_row_is_whole(row) -> None:
    assert CATALOGUE[row.name] is row
    assert row.k_inf > 0.0
    assert row.k_laminar >= 0.0
    assert row.source
    assert row.reference
    assert row.reynolds_range[0] < row.reynolds_range[1]
    for band in (row.band, row.laminar_band):
        if isinstance(band, LognormalEnds):
            assert 0.0 < band.low <= band.middle == 1.0 <= band.high
    assert (row.k_laminar == 0.0) == (row.laminar_band == Exact())


def test_fitting_takes_the_rows_values() -> None:
    part, row = fitting("elbow 90", 7.5e-3, "at the firewall", 2), CATALOGUE["elbow 90"]
    assert (part.name, part.kind, part.bore, part.count) == (
        "at the firewall", "elbow 90", 7.5e-3, 2,
    )  # fmt: skip
    assert (part.k_inf, part.k_laminar, part.band, part.laminar_band, part.source, part.tag) == (
        row.k_inf, row.k_laminar, row.band, row.laminar_band, row.source, row.tag,
    )  # fmt: skip
    assert fitting("elbow 90", 7.5e-3).name == "elbow 90"


def test_fitting_refuses() -> None:
    with pytest.raises(DomainError, match='"elbow" is not a catalogued fitting; known are "flush'):
        fitting("elbow", 7.5e-3)
    for bore in (0.0, -1.0, math.nan, 7.5):
        with pytest.raises(DomainError, match="bore"):
            fitting("elbow 90", bore)
    with pytest.raises(DomainError, match="count 0"):
        fitting("elbow 90", 7.5e-3, count=0)


def test_flow_coefficients() -> None:
    # IEC 60534-1 (from memory): Kv = 0.865 Cv.
    assert cv_to_kv(1.0) == pytest.approx(0.865, abs=5e-5)
    with pytest.raises(DomainError, match="Cv 0"):
        cv_to_kv(0.0)


@pytest.mark.parametrize(
    ("value", "band", "low", "high"),
    [
        (FLOW_METER_CV, FLOW_METER_BAND, 0.26, 0.48),
        (SEAT_DISCHARGE_COEFFICIENT, SEAT_BAND, 0.50, 0.70),
        (SMALL_BALL_VALVE_CV, SMALL_BALL_VALVE_BAND, 1.8, 5.6),
        (FINE_BOWL_CV, FINE_BOWL_BAND, 0.2223, 0.6903),
        (1.0, SCREEN_BAND, 0.7, 1.3),
        (1.0, COMMON_FITTING_BAND, 0.8, 1.25),
    ],
)
def test_bands_of_values_that_are_not_k(value, band, low, high) -> None:
    assert value * quantile(band, ENDS) == pytest.approx([low, value, high])


def test_a_fine_bowl_loses_what_its_specification_allows() -> None:
    # A-A-52472A (read): at most 4 in of water, 0.996 kPa, at 10 US gal/h of mineral spirits, here
    # of 775 kg/m3 (assumed): 131 mm of it.
    part = FlowCoefficient(name="bowl", kind="bowl", bore=8e-3, kv=cv_to_kv(FINE_BOWL_CV))
    head, _ = head_loss(part, 37.9e-3 / 3600.0, 1e-6)
    assert float(head) == pytest.approx(996.0 / (775.0 * 9.80665), rel=0.02)
    assert quantile(FINE_BOWL_BAND, ENDS)[[0, 2]] ** -2 == pytest.approx([3.1, 0.32], rel=0.01)


def test_the_seat_is_a_sharp_orifice() -> None:
    assert SEAT_DISCHARGE_COEFFICIENT == 0.61


class TestTee:
    def tee(self, common: str) -> Tee:
        at = Point(0.0, 0.0, 0.0)
        return Tee(name="T", at=at, run=("left", "right"), branch="down", common=common, bore=7e-3)

    @pytest.mark.parametrize(("common", "other"), [("left", "right"), ("right", "left")])
    def test_common_on_the_run(self, common: str, other: str) -> None:
        losses = dict(tee_losses(self.tee(common)))
        assert {leg: part.kind for leg, part in losses.items()} == {
            other: "tee run",
            "down": "tee turn",
        }

    def test_common_on_the_branch(self) -> None:
        losses = tee_losses(self.tee("down"))
        assert [(leg, part.kind) for leg, part in losses] == [
            ("down", "tee runs to branch"),
            ("left", "tee leg to branch"),
            ("right", "tee leg to branch"),
        ]

    @pytest.mark.parametrize("q", [0.0, 0.1, 0.25, 0.5, 0.75, 1.0])
    def test_two_runs_into_the_branch_dissipate_at_least_idelchiks_tee(self, q: float) -> None:
        # Idelchik, symmetric tee, K = 2 + 3 (q^2 - q) on the combined head (from memory).
        parts = dict(tee_losses(self.tee("down")))
        ours = parts["down"].k_inf + parts["left"].k_inf * (q**3 + (1 - q) ** 3)
        assert ours >= 2.0 + 3.0 * (q**2 - q) - 1e-12

    def test_unknown_common_line(self) -> None:
        with pytest.raises(DomainError, match='common line "up"'):
            tee_losses(self.tee("up"))
