"""Two systems that are the same."""

from dataclasses import replace

from flowsim.system.fuel_system import FuelSystem, Provenance


def same_system(
    first: FuelSystem, second: FuelSystem, free: tuple[str, ...] = ("not_said",)
) -> None:
    """Equal in everything; the order of values without an origin is free."""
    for name in free:
        mine, other = (sorted(map(repr, map(bare, getattr(x, name)))) for x in (first, second))
        assert mine == other
    nothing = dict.fromkeys(free, ())
    assert replace(first, **nothing) == replace(second, **nothing)


def bare(item: Provenance) -> Provenance:
    return replace(item, path=())
