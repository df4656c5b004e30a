"""What the answer rests on and nobody measured: losses of the catalogue, numbers without origin."""

import math
from collections.abc import Iterator

from flowsim.network.assembly import Assembly
from flowsim.network.elements import PlacedPart
from flowsim.physics.losses.laws import loss_law
from flowsim.physics.losses.step_laws import STEPS
from flowsim.studies.result import LossPath, Unmeasured, UnmeasuredCounts
from flowsim.studies.saying import NOTHING, Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import is_tube
from flowsim.system.tags import OWN, Tag

DECISIVE_SHARE = 0.05
"""[-] Share of the head from which stated numbers without an origin are listed and not only
counted: of all of a kind together, so that it does not matter how one is split. Tag: common
practice."""

_HEIGHT = saying("unmeasured.measure_height_between_fuel")
_DECISIVE: dict[tuple[str | int, ...], Said] = {
    ("engine", "burn"): saying("unmeasured.take_full_power_burn"),
    ("engine", "rated_power"): saying("unmeasured.take_full_power_burn"),
    ("engine", "specific_consumption"): saying("unmeasured.take_burn_engine_maker"),
    ("flight", "climb_pitch"): saying("unmeasured.read_datum_pitch_steepest"),
    ("engine", "inlet_at"): _HEIGHT,
    ("engine", "carburettor", "float_level_at"): _HEIGHT,
}


def unmeasured_things(assembly: Assembly, losses: tuple[LossPath, ...]) -> tuple[Unmeasured, ...]:
    """List every loss of the catalogue, and what is stated without origin and decides.

    Parameters
    ----------
    assembly : Assembly
    losses : tuple of LossPath
        Of the deciding scenario.

    Returns
    -------
    tuple of Unmeasured
        By share of the head, largest first; those that are not on a deciding way come last.
    """
    found = [*_losses(assembly, losses), *_decisive(assembly.system)]
    return tuple(sorted(found, key=lambda item: -1.0 if item.share is None else -item.share - 2.0))


def not_measured_of(
    system: FuelSystem, unmeasured: tuple[Unmeasured, ...], losses: tuple[LossPath, ...]
) -> UnmeasuredCounts:
    """Count what was not measured.

    Parameters
    ----------
    system : FuelSystem
    unmeasured : tuple of Unmeasured
        Of the same system.
    losses : tuple of LossPath
        Of the deciding scenario.

    Returns
    -------
    UnmeasuredCounts
        Its share of the head is that of the way on which the catalogue costs most.
    """
    origins = [item.origin for item in system.provenance]
    ways = [sum(row.share for row in path.rows if row.tag in OWN) for path in losses]
    return UnmeasuredCounts(
        assumed=origins.count("assumed"),
        default=origins.count("default"),
        catalogue=sum(item.tag in OWN for item in unmeasured),
        catalogue_share=max(ways, default=None),
        not_said=len(system.not_said),
    )


def words_of(item: Unmeasured) -> Said:
    """Say one unmeasured loss as an assumption, with what would measure it."""
    name: Said = item.part
    if item.line:
        name = saying("part_of_line", part=item.part, line=item.line)
    kind: Said = str(item.tag)
    if item.tag is Tag.NOT_SAID:
        kind = saying("unmeasured.stated_without_saying_where")
    share: Said = NOTHING
    if item.share is not None and item.loss is not None:
        share = saying("unmeasured.head_fuel", share=item.share, loss=item.loss)
    source = saying("in_brackets", said=item.source) if item.source else None
    return saying(
        "unmeasured.not_measured",
        name=name,
        kind=kind,
        share=share,
        source=source,
        measure=item.measure,
    )


def _losses(assembly: Assembly, losses: tuple[LossPath, ...]) -> Iterator[Unmeasured]:
    network, costs = assembly.network, _costs(losses)
    kinds = _kind_shares(assembly, costs)
    seen: set[str] = set()
    for index, placed in enumerate(network.placed):
        part = placed.part
        tag = loss_law(part).tag(part)
        if tag is None or placed.key in seen:
            continue
        seen.add(placed.key)
        share, loss = costs.get(placed.key, (None, None))
        decisive = (
            tag is Tag.NOT_SAID and share is not None and kinds[_kind(placed)] >= DECISIVE_SHARE
        )
        if not (decisive or (tag in OWN and not is_tube(part))):
            continue
        line = network.links[int(network.part_link[index])].name
        yield Unmeasured(
            part=STEPS if placed.key == STEPS else part.name,
            line="" if placed.key == STEPS else line,
            tag=tag,
            share=share,
            loss=loss,
            measure=measurement_of(placed),
            source=_source(placed, tag),
        )


def _kind(placed: PlacedPart) -> tuple[type, str]:
    return type(placed.part), str(getattr(placed.part, "kind", ""))


def _kind_shares(
    assembly: Assembly, costs: dict[str, tuple[float, float]]
) -> dict[tuple[type, str], float]:
    """Give the share of the head [-] of all stated parts of each kind without an origin."""
    of_key = {
        placed.key: _kind(placed)
        for placed in assembly.network.placed
        if loss_law(placed.part).tag(placed.part) is Tag.NOT_SAID
    }
    shares = dict.fromkeys(of_key.values(), 0.0)
    for key, kind in of_key.items():
        shares[kind] += costs.get(key, (0.0, 0.0))[0]
    return shares


def _source(placed: PlacedPart, tag: Tag) -> Said:
    if tag not in OWN:
        return ""
    source = loss_law(placed.part).source(placed.part)
    if (placed.loss_factor, placed.laminar_factor) == (1.0, 1.0):
        return source
    return saying("unmeasured.corrected_all_others_ground", source=source)


def _costs(losses: tuple[LossPath, ...]) -> dict[str, tuple[float, float]]:
    """Give share of the head and loss [m] of each thing by key, on its costliest way."""
    dearest: dict[str, tuple[float, float]] = {}
    for path in losses:
        mine: dict[str, tuple[float, float]] = {}
        for row in path.rows:
            share, loss = mine.get(row.key, (0.0, 0.0))
            mine[row.key] = (share + row.share, loss + row.loss)
        for key, cost in mine.items():
            if math.isnan(cost[0]):  # no head available: a share of nothing
                continue
            dearest[key] = max(dearest.get(key, cost), cost)
    return dearest


def _decisive(system: FuelSystem) -> Iterator[Unmeasured]:
    """Give the stated numbers that set the requirement or the head and have no origin."""
    for item in system.not_said:
        if item.path in _DECISIVE:
            yield Unmeasured(
                part=item.item, line="", tag=Tag.NOT_SAID, share=None, loss=None,
                measure=_DECISIVE[item.path], source="",
            )  # fmt: skip


def measurement_of(placed: PlacedPart) -> Said:
    """Name the measurement that would replace a part's number."""
    if placed.is_entrance:
        return saying("unmeasured.time_flow_out_tank")
    return loss_law(placed.part).measurement(placed.part)
