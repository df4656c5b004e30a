"""A woven screen against the law worked by hand for round numbers, and its refusals."""

import math
from dataclasses import replace

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.losses.woven_screen import (
    clean_screen,
    require_clear_fraction,
    screen_reynolds,
)
from flowsim.system.parts import Screen

SCREEN = Screen(
    name="finger strainer", area=2e-3, wires_per_metre=1000.0, wire_diameter=0.75e-3,
    clear_fraction=0.5,
)  # fmt: skip
"""n d = 3/4, so that sqrt(1 + (n d)^2) = 5/4 (3-4-5): opening 0.25 mm, void 1 - 15 pi/64,
wire surface per volume 1250 pi 1/m."""

VOID = 1.0 - 15.0 * math.pi / 64.0


def test_armour_and_cannon_by_hand() -> None:
    """dp = (8.61/Re + 0.52) rho U^2 B/(void^2 D_p), B = 2 d (1968, read in the abstract)."""
    quadratic, linear = clean_screen(SCREEN)
    expected = 0.52 * 1.5e-3 / (VOID**2 * 0.25e-3 * 9.80665 * 2e-3**2)
    assert quadratic == pytest.approx(expected, rel=1e-12)
    expected = 8.61 * (1250 * math.pi) ** 2 * 1.5e-3 / (VOID**2 * 9.80665 * 2e-3)
    assert linear == pytest.approx(expected, rel=1e-12)


def test_reynolds_of_the_clear_half() -> None:
    """U = 1e-5/(2e-3 x 0.5) = 10 mm/s; Re = U/(nu a^2 D_p)."""
    flow = np.array([1e-5, -1e-5, 0.0])
    once = 0.01 / (1e-6 * (1250 * math.pi) ** 2 * 0.25e-3)
    np.testing.assert_allclose(screen_reynolds(SCREEN, flow, 1e-6), [once, once, 0.0])


@pytest.mark.parametrize("wire", [0.95e-3, 1.0e-3, 1.2e-3])
def test_a_weave_without_opening_or_void_is_refused(wire) -> None:
    """At n d = 0.95 there is an opening seen from above, but the crimped wires fill the cloth."""
    with pytest.raises(DomainError, match=r'"finger strainer": 1000\.0 wires .* no opening'):
        clean_screen(replace(SCREEN, wire_diameter=wire))


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
@pytest.mark.parametrize(
    ("field", "words"),
    [("area", ": area "), ("wires_per_metre", ": wires per metre "),
     ("wire_diameter", ": wire diameter ")],
)  # fmt: skip
def test_impossible_screens_are_refused_by_name(field, words, bad) -> None:
    with pytest.raises(DomainError, match=f'"finger strainer"{words}'):
        clean_screen(replace(SCREEN, **{field: bad}))


@pytest.mark.parametrize("clear", [0.0, -0.1, 1.01, math.nan])
def test_a_clear_fraction_is_a_share(clear) -> None:
    screen = replace(SCREEN, clear_fraction=clear)
    with pytest.raises(DomainError, match="clear fraction"):
        require_clear_fraction(screen)
    with pytest.raises(DomainError, match="clear fraction"):
        screen_reynolds(screen, 1e-5, 1e-6)
    require_clear_fraction(replace(SCREEN, clear_fraction=1.0))
    assert clean_screen(screen) == clean_screen(SCREEN)
