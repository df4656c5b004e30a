"""The steps of a hand check: what each path's heads are, and each part's working with its source.

One place for the command's sheet and for the report's.
"""

import math

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.blocks import HandStep
from flowsim.document.text import clean
from flowsim.files.units import shown as to
from flowsim.measures import BORE, LENGTH, TEMPERATURE, VOLUME_FLOW
from flowsim.network.assembly import assemble
from flowsim.network.elements import PlacedPart
from flowsim.network.scenarios import EndName
from flowsim.physics.fuel.properties import density, kinematic_viscosity
from flowsim.reports.pages.hand_formulas import HandLiquid, worked
from flowsim.reports.pages.second_opinion import opinion_line, parts_by_key, second_opinion
from flowsim.reports.words.units import digits, number
from flowsim.studies.result import LossPath, LossRow, ScenarioResult
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.points import Point

AGREES = 1e-6
"""[-] Hand working and network may differ by this much of the loss, else the sheet says so."""
AGREES_HEAD = 1e-9
"""[m] ... or by this much, whichever is more."""
WORKED_IN = (
    "The working is in SI units (m, m2, m3/s, kg/m3), because it is checked by hand against the "
    "sources; flows, bores and losses stand in the units chosen as well."
)
StepRows = list[tuple[str, str]]


def liquid_of(system: FuelSystem, scenario: ScenarioResult) -> HandLiquid:
    """Give density and viscosity of the fuel at a scenario's temperature.

    Raises
    ------
    DomainError
        When the temperature is outside the range of the fuel's laws.
    """
    temperature = scenario.temperature
    factor = 1.0 if system.calibration is None else system.calibration.viscosity
    return HandLiquid(
        density=float(density(system.fuel, temperature).item()),
        kinematic_viscosity=factor * float(kinematic_viscosity(system.fuel, temperature).item()),
    )


def placed_parts(system: FuelSystem) -> dict[str, PlacedPart]:
    """Give every part by its key: names may recur, or begin with one another."""
    return parts_by_key(assemble(system).network.placed)


def constants(system: FuelSystem, scenario: ScenarioResult, liquid: HandLiquid) -> StepRows:
    """Give the constants as names and words."""
    return [
        (
            "g0",
            f"{digits(STANDARD_GRAVITY)} m/s2 (standard gravity, exact by definition, 3rd CGPM "
            "1901)",
        ),
        (
            "rho",
            f"{digits(liquid.density)} kg/m3, nu = {digits(liquid.kinematic_viscosity)} m2/s: "
            f"{clean(system.fuel.name)} at {TEMPERATURE.words(scenario.temperature, 1)} "
            f"({clean(system.fuel.source)})",
        ),
    ]


HEADS = (
    "Heads are metres of this fuel along the effective gravity of the attitude; elevations are "
    "from the datum of the case."
)


def heads(system: FuelSystem, scenario: ScenarioResult, path: LossPath) -> StepRows:
    """Give the heads of a path, from the tank's surface to the end, as names and workings."""
    surface, end = path.surface_elevation, path.end_elevation
    tank, far = path.tank_pressure_head, path.end_pressure_head
    pull = scenario.forward_acceleration / STANDARD_GRAVITY
    rows = [
        (
            "Elevation of a point",
            "z = W cos p cos r - S sin p - B cos p sin r (station S aft, buttline B right, "
            f"waterline W up, pitch p nose-up, roll r right wing down){run_words(pull)}",
        )
    ]
    outlet = system.places().get(f"{path.tank}.{path.outlet}")
    if outlet is not None:
        above, words = elevation(outlet, scenario.pitch, scenario.roll, pull)
        rows.append(("Outlet", f"zo = {words}; fuel stands {digits(surface - above)} m over it"))
    _, words = elevation(_end_point(system, scenario.end), scenario.pitch, scenario.roll, pull)
    return [
        *rows,
        ("End", f"ze = {words}"),
        ("Fuel surface", f"zs = {digits(surface)} m, from the quantity and the tank's shape"),
        (
            "Pressure heads above ambient, p/(rho g0)",
            f"tank air ps = {digits(tank)} m; end pe = {digits(far)} m",
        ),
        (
            "Head available",
            f"H = zs - ze + ps - pe = {digits(surface)} - ({digits(end)}) + ({digits(tank)}) - "
            f"({digits(far)}) = {digits(path.available)} m",
        ),
    ]


def run_words(pull: float) -> str:
    """Say what the take-off run adds to an elevation; empty without acceleration [g0]."""
    if not pull:
        return ""
    return f"; the run at a/g0 = {digits(pull)} adds - (a/g0) (W sin p + S cos p)"


def elevation(point: Point, pitch: float, roll: float, pull: float = 0.0) -> tuple[float, str]:
    """Give a point's height along the effective gravity, and its working.

    Parameters
    ----------
    point : Point
        [m]
    pitch, roll : float
        [rad], nose-up and right wing down positive.
    pull : float
        Acceleration along the ground over g0 [-], in the take-off run (wings level).

    Returns
    -------
    float and str
        Elevation [m], and the formula with its numbers (angles in degrees).

    References
    ----------
    Rotation of the aircraft's axes by pitch, then roll (docs/nomenclature.md).
    """
    height = (
        point.waterline * math.cos(pitch) * math.cos(roll)
        - point.station * math.sin(pitch)
        - point.buttline * math.cos(pitch) * math.sin(roll)
        - pull * (point.waterline * math.sin(pitch) + point.station * math.cos(pitch))
    )
    p, r = digits(to.degrees(pitch)), digits(to.degrees(roll))
    run = (
        f" - {digits(pull)} x (({digits(point.waterline)}) x sin {p} + ({digits(point.station)}) "
        f"x cos {p})"
    )
    words = (
        f"{digits(point.waterline)} x cos {p} x cos {r} - ({digits(point.station)}) x sin {p} - "
        f"({digits(point.buttline)}) x cos {p} x sin {r}{run if pull else ''} = {digits(height)} m"
    )
    return height, words


def _end_point(system: FuelSystem, end: str) -> Point:
    carburettor = system.engine.carburettor
    if (
        end == EndName.CARBURETTOR
        and carburettor is not None
        and carburettor.float_level is not None
    ):
        return carburettor.float_level
    return system.engine.inlet_at


def path_title(index: int, path: LossPath) -> str:
    """Give the heading of a path."""
    return clean(f"Path {index}: tank {path.tank}, outlet {path.outlet}, to the {path.end}")


def steps_of(
    path: LossPath, liquid: HandLiquid, placed: dict[str, PlacedPart]
) -> tuple[tuple[HandStep, ...], list[str], int]:
    """Give the steps of a path.

    Parameters
    ----------
    path : LossPath
    liquid : HandLiquid
    placed : dict
        As ``placed_parts`` gives them.

    Returns
    -------
    tuple of HandStep, list of str, int
        In the order in which fuel meets the parts; the closing words; how many parts differ from
        the working by hand.
    """
    steps, total, off = [], 0.0, 0
    for row in path.rows:
        total += row.loss
        step, agrees = _step(row, liquid, total, placed)
        steps.append(step)
        off += not agrees
    closing = [
        f"Sum of losses {_exact(total)}, head available {_exact(path.available)}, "
        f"difference {_exact(path.available - total)}"
    ]
    if off:
        closing.append(f"{off} part(s) above DIFFER from the working by hand: report it as a bug")
    return tuple(steps), closing, off


def _step(
    row: LossRow, liquid: HandLiquid, total: float, placed: dict[str, PlacedPart]
) -> tuple[HandStep, bool]:
    bore = "no bore" if math.isnan(row.bore) else f"bore D {BORE.words(row.bore, 3)}"
    work = worked(row, liquid)
    lines = [
        f"Q {VOLUME_FLOW.words(row.flow, 2)} = {digits(row.flow)} m3/s, {bore}",
        *(clean(line) for line in work.lines),
    ]
    # Where the working has not come by it: the coefficient that the loss amounts to.
    if not math.isnan(row.coefficient) and digits(row.coefficient) not in " ".join(work.lines):
        name = "Darcy factor" if "friction" in row.law else "K on this bore"
        lines.append(f"{name} {digits(row.coefficient)}")
    opinion = second_opinion(row, placed.get(row.key))
    if opinion is not None:
        lines.append(opinion_line(opinion))
    agrees = _agree(work.head, row.loss)
    result = (
        f"loss {_exact(row.loss)} of fuel, "
        f"{number(to.percent(row.share), 1)} % of the head; sum so far {_exact(total)}"
    )
    return HandStep(
        title=f"{clean(row.line)}: {clean(row.part)} [{clean(row.law)}]",
        lines=tuple(lines),
        result=result if agrees else f"{result}. DIFFERS: by hand {_exact(work.head)}",
        source=clean(row.source) or "not stated",
    ), agrees


def _agree(by_hand: float, loss: float) -> bool:
    """Tell whether the working ends at the loss; a table has no working to compare."""
    if math.isnan(by_hand):
        return True
    return abs(by_hand - loss) <= max(AGREES_HEAD, AGREES * abs(loss))


def _exact(head: float) -> str:
    return LENGTH.words(head, 3)
