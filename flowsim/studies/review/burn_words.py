"""A full-power burn that is likely a slip of the pen: no engine burns so little, or so much."""

from collections.abc import Iterator

from flowsim.constants import HORSEPOWER, USUAL_CONSUMPTION, USUAL_CONSUMPTION_WORDS
from flowsim.measures import HOUR, MASS_FLOW
from flowsim.physics.tank.surface import capacity_of
from flowsim.system.fuel_system import FuelSystem

LEAST_POWER = 10.0e3
"""[W] Engines with a carburettor that fly an aeroplane have more. Tag: common practice."""
MOST_POWER = 450.0e3
"""[W] Those of amateur-built aeroplanes fed by gravity have less. Tag: common practice."""
LONGEST_ENDURANCE = 15.0 * HOUR
"""[s] Full tanks last less than this at full power. Tag: common practice."""


def burn_words(system: FuelSystem) -> Iterator[str]:
    """Ask to confirm a burn that is far outside what engines burn, or that full tanks outlast.

    Parameters
    ----------
    system : FuelSystem

    Yields
    ------
    str
        One at most.
    """
    burn = system.engine.burn
    if not burn > 0.0:
        return
    shown = MASS_FLOW.words(burn, 2)
    power = burn / USUAL_CONSUMPTION
    if not LEAST_POWER <= power <= MOST_POWER:
        least, most = (f"{bound / 1e3:.0f}" for bound in (LEAST_POWER, MOST_POWER))
        yield (
            f"The full-power burn of {shown} is that of an engine of {power / 1e3:.4g} kW "
            f"({power / HORSEPOWER:.4g} hp) at {USUAL_CONSUMPTION_WORDS} (AC 90-89A), far outside "
            f"{least} to {most} kW (common practice, no source). Everything is judged "
            "against it: confirm it, its unit and its decimal point."
        )
        return
    capacities = [capacity_of(tank.shape) for tank in system.tanks]
    full = sum(capacity for capacity in capacities if capacity is not None)
    seconds = full * system.fuel.density_15 / burn
    if seconds > LONGEST_ENDURANCE:
        yield (
            f"Full tanks would last {seconds / HOUR:.0f} hours at the full-power burn of {shown}; "
            f"more than {LONGEST_ENDURANCE / HOUR:.0f} is unlikely (common practice, no source). "
            "Everything is judged against the burn: confirm it, its unit and its decimal point."
        )
