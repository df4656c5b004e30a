"""Air shut in over fuel that all but boils, and refusals that name the value."""

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.tank.ullage import drawn_for_fall, pressure_fall

AMBIENT = 1e5


def test_half_a_pascal_of_air_is_air() -> None:
    """Boyle: doubling the room halves the air's pressure, 0.5 Pa of it too."""
    assert pressure_fall(AMBIENT, AMBIENT - 0.5, 0.1, 0.1) == pytest.approx(0.25)
    assert drawn_for_fall(AMBIENT, AMBIENT - 0.5, 0.1, 0.25) == pytest.approx(0.1)


def test_a_fall_that_leaves_less_than_a_pascal() -> None:
    """V = V_u dp/(p_a - dp): 0.5 Pa left of 1e5 needs 199999 times the room."""
    assert drawn_for_fall(AMBIENT, 0.0, 1e-3, AMBIENT - 0.5) == pytest.approx(199.999)
    assert drawn_for_fall(AMBIENT, 0.0, 1e-3, AMBIENT + 0.5) == np.inf


def test_shapes_broadcast_and_nothing_drawn_is_no_fall() -> None:
    found = pressure_fall(AMBIENT, 0.0, np.array([[0.0], [0.1]]), np.array([0.0, 0.1, 0.3]))
    np.testing.assert_allclose(found, [[0.0, 1e5, 1e5], [0.0, 5e4, 7.5e4]])
    assert drawn_for_fall(AMBIENT, 0.0, 0.1, 0.0) == 0.0


@pytest.mark.parametrize("bad", [-1.0, np.nan, np.inf])
@pytest.mark.parametrize(
    ("law", "place", "name"),
    [
        (pressure_fall, 0, "^ambient pressure must"), (pressure_fall, 1, "^vapour pressure must"),
        (pressure_fall, 2, "^ullage must"), (pressure_fall, 3, "^fuel drawn must"),
        (drawn_for_fall, 2, "^ullage must"), (drawn_for_fall, 3, "^fall of pressure must"),
    ],
)  # fmt: skip
def test_refusals_name_the_value(law, place, name, bad) -> None:
    numbers = [AMBIENT, 4e4, 0.1, 0.1]
    numbers[place] = bad
    with pytest.raises(DomainError, match=name):
        law(*numbers)


@pytest.mark.parametrize("law", [pressure_fall, drawn_for_fall])
def test_boiling_fuel_is_refused_with_what_to_check(law) -> None:
    with pytest.raises(DomainError, match=r"boils at ambient.*check temperature"):
        law(AMBIENT, AMBIENT, 0.1, 0.1)
