"""A full-power burn that is likely a slip of the pen: no engine burns so little, or so much."""

from collections.abc import Iterator

from flowsim.constants import HORSEPOWER, USUAL_CONSUMPTION, USUAL_CONSUMPTION_WORDS
from flowsim.measures import HOUR
from flowsim.physics.tank.surface import capacity_of
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem

LEAST_POWER = 10.0e3
"""[W] Engines with a carburettor that fly an aeroplane have more. Tag: common practice."""
MOST_POWER = 450.0e3
"""[W] Those of amateur-built aeroplanes fed by gravity have less. Tag: common practice."""
LONGEST_ENDURANCE = 15.0 * HOUR
"""[s] Full tanks last less than this at full power. Tag: common practice."""


def burn_words(system: FuelSystem) -> Iterator[Said]:
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

    power = burn / USUAL_CONSUMPTION
    if not LEAST_POWER <= power <= MOST_POWER:
        yield (
            saying(
                "burn_words.full_power_burn_engine",
                burn=burn,
                power=power,
                horsepower=power / HORSEPOWER,
                consumption=USUAL_CONSUMPTION_WORDS,
                least=LEAST_POWER,
                most=MOST_POWER,
            )
        )
        return
    capacities = [capacity_of(tank.shape) for tank in system.tanks]
    full = sum(capacity for capacity in capacities if capacity is not None)
    seconds = full * system.fuel.density_15 / burn
    if seconds > LONGEST_ENDURANCE:
        yield (
            saying(
                "burn_words.full_tanks_would_last",
                lasts=seconds,
                burn=burn,
                longest=LONGEST_ENDURANCE,
            )
        )
