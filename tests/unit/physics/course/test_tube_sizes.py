"""Sizes of the trade."""

import math

import pytest

from flowsim.errors import DomainError
from flowsim.physics.course.tube_sizes import (
    FLARED_FITTING_BORE,
    HOSE_BEND_RADIUS,
    HOSE_BORE,
    HOSE_SUPPORT_DISTANCE,
    INCH,
    TUBE_BEND_RADIUS,
    TUBE_SUPPORT_DISTANCE,
    TUBES,
    dash_outside_diameter,
    flared_fitting_bore,
    hose_bore,
    tube_bore,
)


def test_inch_tubes() -> None:
    # Derived: outside diameter less two walls, inches.
    bores = {
        (tube.dash, round(tube.wall / INCH, 3)): tube.bore / INCH for tube in TUBES if tube.dash
    }
    assert bores == pytest.approx(
        {(4, 0.035): 0.180, (5, 0.035): 0.2425, (6, 0.035): 0.305, (6, 0.049): 0.277,
         (8, 0.035): 0.430, (8, 0.049): 0.402}
    )  # fmt: skip
    assert {tube.name: round(1e3 * tube.bore, 6) for tube in TUBES if tube.dash is None} == {
        "6 x 1 mm": 4.0, "8 x 1 mm": 6.0, "10 x 1 mm": 8.0, "12 x 1 mm": 10.0,
    }  # fmt: skip


def test_the_same_dash_number_has_different_bores() -> None:
    # AC 43.13-1B table 9-3 (read): -6 hose is 5/16 in by one specification, 11/32 by another.
    assert hose_bore("MIL-H-8794", 6) == pytest.approx(5 / 16 * INCH)
    assert hose_bore("MIL-H-8788", 6) == pytest.approx(11 / 32 * INCH)
    assert dash_outside_diameter(6) == pytest.approx(3 / 8 * INCH)


def test_flared_fitting_bores() -> None:
    # AN929 dimension table (read): inches.
    assert {dash: bore / INCH for dash, bore in FLARED_FITTING_BORE.items()} == pytest.approx(
        {4: 0.172, 5: 0.234, 6: 0.297, 8: 0.391}
    )
    assert flared_fitting_bore(8) == FLARED_FITTING_BORE[8]


def test_tables_rise_with_size() -> None:
    tables = [FLARED_FITTING_BORE, HOSE_BEND_RADIUS, *HOSE_BORE.values()]
    tables += [*TUBE_BEND_RADIUS.values(), *TUBE_SUPPORT_DISTANCE.values()]
    for table in tables:
        assert list(table) == sorted(table)
        assert list(table.values()) == sorted(table.values())
    assert pytest.approx(0.6096) == HOSE_SUPPORT_DISTANCE


def test_refusals() -> None:
    with pytest.raises(DomainError, match="leaves no bore"):
        tube_bore(6e-3, 3e-3)
    for outside, wall in ((0.0, 1e-3), (math.nan, 1e-3), (6e-3, 0.0), (6e-3, -1e-3)):
        with pytest.raises(DomainError, match="above 0"):
            tube_bore(outside, wall)
    with pytest.raises(DomainError, match="-7 is not in the table"):
        flared_fitting_bore(7)
    with pytest.raises(DomainError, match="measure the bore"):
        hose_bore("garden hose", 6)
    with pytest.raises(DomainError, match="-3 is not in the table"):
        hose_bore("MIL-H-8788", 3)
    with pytest.raises(DomainError, match="dash number 0"):
        dash_outside_diameter(0)
    assert tube_bore(3 / 8 * INCH, 0.035 * INCH) == pytest.approx(7.747e-3)
