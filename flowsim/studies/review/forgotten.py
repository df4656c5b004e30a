"""What is likely forgotten or mixed up in a case: a caution each, told before all others.

None of these changes a number; each names the item, how much it is worth and what to do.
"""

from collections.abc import Iterator

from flowsim.network.assembly import Assembly
from flowsim.physics.course.tube_sizes import TUBES, TubeSize
from flowsim.physics.fuel.properties import kinematic_viscosity
from flowsim.physics.losses.fitting_catalogue import CATALOGUE, fitting, traits_of
from flowsim.physics.losses.laws import head_loss, loss_law
from flowsim.studies.review.burn_words import burn_words
from flowsim.studies.review.joins import join_words
from flowsim.studies.review.places import place_words
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line
from flowsim.system.parts import MinorLoss, Part, is_tube

SAME_BORE = 0.005
"""[-] A bore so near a tube's outside diameter is taken for it. Tag: common practice."""

FRICTION_POWER = 4.75
"""[-] Friction goes with the bore to minus this power (smooth pipe, Blasius). Tag: published
(transcribed)."""

_INCH = 0.0254


def forgotten(assembly: Assembly) -> tuple[Said, ...]:
    """Look for what is likely forgotten.

    Parameters
    ----------
    assembly : Assembly

    Returns
    -------
    tuple of str
        A sentence or two each; empty where nothing is missed.
    """
    system = assembly.system
    found = [
        *burn_words(system),
        *_no_descent(system),
        *_bare_lines(system),
        *_no_strainer(system),
        *_outside_diameters(system),
        *join_words(assembly),
        *place_words(system),
    ]
    return tuple(dict.fromkeys(found))


def _required(system: FuelSystem) -> float:
    """Give the required flow [m3/s] at the fuel's 15 degC density."""
    return system.engine.burn * system.engine.factor / system.fuel.density_15


def _cost(system: FuelSystem, kind: str, bore: float) -> float:
    """Give what a fitting of the catalogue would cost [m of fuel] at the required flow."""
    coldest = min(system.temperatures)
    nu = float(kinematic_viscosity(system.fuel, coldest))
    loss, _ = head_loss(fitting(kind, bore), _required(system), nu)
    return float(loss)


def _is_fitting(part: Part) -> bool:
    """Tell whether a part is more than a length of tube or a formed bend of it."""
    return not is_tube(part) and not traits_of(loss_law(part).kind(part)).is_bend


def _no_descent(system: FuelSystem) -> Iterator[Said]:
    """Say where the descent is not judged, nose-down: fuel runs to the front of the tanks."""
    missing = [
        words
        for words, value in (
            (saying("forgotten.descent_pitch_flight"), system.flight.descent_pitch),
            (saying("forgotten.descent_burn_engine"), system.engine.descent_burn),
        )
        if value is None
    ]
    if missing:
        yield (saying("forgotten.descent_not_judged_not", missing=tuple(missing)))


def _bare_lines(system: FuelSystem) -> Iterator[Said]:
    """Name lines on which no fitting is listed."""
    for line in system.lines:
        if line.closed or any(_is_fitting(part) for part in line.parts):
            continue
        elbow = _cost(system, "elbow 90", line.bore)
        yield (saying("forgotten.line_has_no_part", line=line.name, elbow=elbow))


def _no_strainer(system: FuelSystem) -> Iterator[Said]:
    """Name tanks from which fuel reaches the engine past no strainer, filter or bowl."""
    open_lines = [line for line in system.lines if not line.closed and not _strains(line)]
    reached = {system.engine.inlet}
    outlets = system.outlet_nodes()
    grew = True
    while grew:
        grew = False
        for line in open_lines:
            for near, far in ((line.start, line.end), (line.end, line.start)):
                if near in reached and near not in outlets and far not in reached:
                    reached.add(far)
                    grew = True
    names = dict.fromkeys(tank.name for node, (tank, _) in outlets.items() if node in reached)
    if not names:
        return
    inlet = system.engine.inlet
    bore = min(line.bore for line in system.lines if inlet in (line.start, line.end))

    yield (
        saying(
            "forgotten.between_tank_engine_no",
            tanks=tuple(names),
            cost=_cost(system, "sediment bowl", bore),
        )
    )


def _strains(line: Line) -> bool:
    return any(traits_of(loss_law(part).kind(part)).strains for part in line.parts)


def _outside_diameters(system: FuelSystem) -> Iterator[Said]:
    """Name bores that are the outside diameter of a tube of the trade."""
    for line in system.lines:
        for part in line.parts:
            if is_tube(part) and "hose" not in part.material:
                if part.name == line.name and line.outside_diameter is not None:
                    continue  # the bore follows from the tube's size
                tube = _tube_of(part.bore)
                if tube is not None:
                    yield _bore_words(saying("forgotten.line", line=line.name), part.bore, tube)
            elif isinstance(part, MinorLoss) and part.kind in CATALOGUE:
                outside = line.outside_diameter
                if outside is None or abs(part.bore / outside - 1.0) > SAME_BORE:
                    continue
                tube = _tube_of(part.bore)
                if tube is not None:
                    yield _bore_words(
                        saying("forgotten.line_part", line=line.name, part=part.name),
                        part.bore,
                        tube,
                    )


def _tube_of(bore: float) -> TubeSize | None:
    """Find the tube of the trade whose outside diameter a bore is."""
    near = [tube for tube in TUBES if abs(bore / tube.outside_diameter - 1.0) <= SAME_BORE]
    return near[0] if near else None


def _bore_words(item: Said, bore: float, tube: TubeSize) -> Said:
    times = (bore / tube.bore) ** FRICTION_POWER
    return saying(
        "forgotten.bore_outside_diameter_tube",
        item=item,
        bore=bore,
        tube=tube.name,
        inside=tube.bore,
        times=times,
    )
