"""Air shut in over fuel: closed form, worked numbers, limits."""

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.tank.ullage import drawn_for_fall, pressure_fall

AMBIENT = 101325.0
HEAD = 20 * 0.0254 * (6.0 * 0.45359237 / 3.785411784e-3) * 9.80665
"""[Pa] 20 in of avgas at 6.0 lb/US gal."""


def test_drawn_until_flow_stops_with_dry_air() -> None:
    # Derived by hand: V_u rho g h/(p_a - p_v - rho g h); 20 in of
    # head and 11 gal of ullage: 0.40 gal.
    assert drawn_for_fall(AMBIENT, 0.0, 11.0, HEAD) == pytest.approx(0.40, abs=0.005)


@pytest.mark.parametrize(("vapour", "share"), [(21e3, 4.7), (40e3, 6.2), (52e3, 7.8)])
def test_drawn_with_vapour(vapour: float, share: float) -> None:
    # The same note: 4.7 / 6.2 / 7.8 % of the ullage at 21 / 40 / 52 kPa.
    assert 100 * drawn_for_fall(AMBIENT, vapour, 1.0, HEAD) == pytest.approx(share, abs=0.05)


def test_isothermal_closed_form() -> None:
    # Boyle and Dalton, exact: (p_a - p_v) V_u = (p_a - p_v - dp) (V_u + V).
    vapour, ullage, drawn = 30e3, 0.04, np.linspace(0.0, 0.1, 11)
    fall = pressure_fall(AMBIENT, vapour, ullage, drawn)
    left = (AMBIENT - vapour - fall) * (ullage + drawn)
    assert left == pytest.approx((AMBIENT - vapour) * ullage, rel=1e-12)
    assert drawn_for_fall(AMBIENT, vapour, ullage, fall) == pytest.approx(drawn, abs=1e-15)


def test_limits() -> None:
    # No room at all: the fuel boils as soon as anything is drawn; more than that there is not.
    assert pressure_fall(AMBIENT, 40e3, 0.0, 1e-9) == pytest.approx(AMBIENT - 40e3)
    assert pressure_fall(AMBIENT, 40e3, 0.0, 0.0) == 0.0
    assert drawn_for_fall(AMBIENT, 40e3, 0.1, AMBIENT - 40e3) == np.inf


@pytest.mark.parametrize(
    "numbers",
    [(AMBIENT, AMBIENT, 0.1, 0.1), (AMBIENT, -1.0, 0.1, 0.1), (AMBIENT, 0.0, -0.1, 0.1),
     (AMBIENT, 0.0, 0.1, np.nan), (np.inf, 0.0, 0.1, 0.1)],
)  # fmt: skip
def test_impossible_numbers_are_refused(numbers: tuple[float, ...]) -> None:
    with pytest.raises(DomainError):
        pressure_fall(*numbers)
