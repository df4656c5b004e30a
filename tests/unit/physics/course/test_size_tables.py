"""Sizes of tube, hose and fittings, and the tables of bends and spans, row by row.

Typed in inches: hose bores and bends from
AC 43.13-1B table 9-3 (read); bends of tube from its table 9-2 (from memory); spans of tube from a
mechanic's handbook (aluminium, from memory) and MIL-H-8891A (steel, read); bores of
flared fittings from the AN929 dimension table (read).
"""

import pytest

from flowsim.errors import DomainError
from flowsim.physics.course.tube_sizes import (
    FLARED_FITTING_BORE,
    HOSE_BEND_RADIUS,
    HOSE_BORE,
    HOSE_SUPPORT_DISTANCE,
    INCH,
    LEAST_BENT_DIAMETER,
    TUBE_BEND_RADIUS,
    TUBE_SUPPORT_DISTANCE,
    TUBES,
    dash_outside_diameter,
    flared_fitting_bore,
    hose_bore,
    tube_bore,
)

HOSES = {
    "MIL-H-8794": {
        3: "1/8", 4: "3/16", 5: "1/4", 6: "5/16", 8: "13/32", 10: "1/2", 12: "5/8", 16: "7/8",
    },
    "MIL-H-8788": {4: "7/32", 5: "9/32", 6: "11/32", 8: "7/16", 10: "9/16"},
}  # fmt: skip
HOSE_BENDS = {4: 3.00, 5: 3.38, 6: 4.00, 8: 4.63, 10: 5.50}
TUBE_BENDS = {
    "aluminium": {4: 9 / 16, 5: 3 / 4, 6: 15 / 16, 8: 1 + 1 / 4},
    "steel": {4: 7 / 8, 5: 1 + 1 / 8, 6: 1 + 5 / 16, 8: 1 + 3 / 4},
}
TUBE_SPANS = {
    "aluminium": {4: 13.5, 5: 15.0, 6: 16.5, 8: 19.0},
    "steel": {4: 16.0, 5: 18.0, 6: 20.0, 8: 23.0},
}


def inches(table):
    return {key: value / 0.0254 for key, value in table.items()}


def fraction(text: str) -> float:
    above, below = text.split("/")
    return int(above) / int(below)


def test_one_inch() -> None:
    assert INCH == 0.0254


@pytest.mark.parametrize("specification", HOSES)
def test_hose_bores(specification) -> None:
    rows = {dash: fraction(text) for dash, text in HOSES[specification].items()}
    assert inches(HOSE_BORE[specification]) == pytest.approx(rows, rel=1e-12)
    for dash, bore in rows.items():
        assert hose_bore(specification, dash) == pytest.approx(bore * 0.0254, rel=1e-12)
    assert set(HOSE_BORE) == set(HOSES)


def test_hose_bends_and_supports() -> None:
    assert inches(HOSE_BEND_RADIUS) == pytest.approx(HOSE_BENDS, rel=1e-12)
    assert pytest.approx(24.0) == HOSE_SUPPORT_DISTANCE / 0.0254
    assert LEAST_BENT_DIAMETER == 0.75


@pytest.mark.parametrize("material", ["aluminium", "steel"])
def test_tube_bends_and_spans(material) -> None:
    assert inches(TUBE_BEND_RADIUS[material]) == pytest.approx(TUBE_BENDS[material], rel=1e-12)
    assert inches(TUBE_SUPPORT_DISTANCE[material]) == pytest.approx(TUBE_SPANS[material], rel=1e-12)
    assert set(TUBE_BEND_RADIUS) == set(TUBE_SUPPORT_DISTANCE) == {"aluminium", "steel"}


def test_flared_fittings() -> None:
    rows = {4: 0.172, 5: 0.234, 6: 0.297, 8: 0.391}
    assert inches(FLARED_FITTING_BORE) == pytest.approx(rows, rel=1e-12)
    for dash in rows:
        assert flared_fitting_bore(dash) == FLARED_FITTING_BORE[dash]


def test_tubes_of_the_trade() -> None:
    # Outside diameter and wall in inches, then the bore [mm] worked out by hand.
    inch = {
        "1/4 x 0.035 in": (4, 1 / 4, 0.035, 4.57),
        "5/16 x 0.035 in": (5, 5 / 16, 0.035, 6.16),
        "3/8 x 0.035 in": (6, 3 / 8, 0.035, 7.75),
        "3/8 x 0.049 in": (6, 3 / 8, 0.049, 7.04),
        "1/2 x 0.035 in": (8, 1 / 2, 0.035, 10.92),
        "1/2 x 0.049 in": (8, 1 / 2, 0.049, 10.21),
    }
    metric = {f"{size} x 1 mm": 1e-3 * size for size in (6, 8, 10, 12)}
    assert [tube.name for tube in TUBES] == [*inch, *metric]
    for tube in TUBES:
        if tube.name in metric:
            assert tube.dash is None
            assert (tube.outside_diameter, tube.wall) == pytest.approx((metric[tube.name], 1e-3))
            assert tube.bore == pytest.approx(metric[tube.name] - 2e-3)
            continue
        dash, outside, wall, bore = inch[tube.name]
        assert tube.dash == dash
        assert (tube.outside_diameter, tube.wall) == pytest.approx(
            (outside * 0.0254, wall * 0.0254)
        )
        assert 1e3 * tube.bore == pytest.approx(bore, abs=0.006)


def test_dash_numbers_are_sixteenths() -> None:
    for dash in (1, 2, 4, 16):
        assert dash_outside_diameter(dash) == pytest.approx(dash / 16 * 0.0254, rel=1e-12)


def test_what_is_not_in_a_table_must_be_measured() -> None:
    with pytest.raises(DomainError, match=r"flared fitting -7 is not .*\(-4, -5, -6, -8\); mea"):
        flared_fitting_bore(7)
    with pytest.raises(DomainError, match=r"MIL-H-8788 hose -3 is not .*\(-4, -5, -6, -8, -10\)"):
        hose_bore("MIL-H-8788", 3)
    with pytest.raises(DomainError, match=r'"rubber" is not .* \(MIL-H-8794, MIL-H-8788\)'):
        hose_bore("rubber", 6)
    with pytest.raises(DomainError, match=r"a wall of 4 mm leaves no bore in a tube of 8 mm"):
        tube_bore(8e-3, 4e-3)
    with pytest.raises(DomainError, match="outside diameter"):
        tube_bore(0.0, 1e-3)
    with pytest.raises(DomainError, match="wall"):
        tube_bore(8e-3, 0.0)
