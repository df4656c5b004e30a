"""Case files of systems that grow (``grown_graphs``): what each place is, parts, fuel, tanks.

Every number is invented. Places of three lines become tees, places that all lines but one lead into
selectors. Metric throughout.
"""

import json
import math

import numpy as np

from tests.support.grown_graphs import ENGINE, Growing, Place, grow

MOST_POSITIONS = 10
FUELS = (
    ("avgas 100LL", -40, 60), ("avgas unleaded", -40, 60), ("motor gasoline summer", -40, 60),
    ("motor gasoline winter E10", -40, 60), ("jet kerosene", -40, 60),
    ("jet kerosene heavy", -40, 60), ("diesel", -20, 60),
)  # fmt: skip


def grown_case(seed: int) -> str:
    """Give the TOML text of the case file that this seed grows.

    Parameters
    ----------
    seed : int
        From 0.

    Returns
    -------
    str
        A case of 1 to 60 lines; the same for the same seed.
    """
    system = grow(seed)
    blocks = _selectors_and_tees(system)
    _hang_parts(system)
    return "\n".join([_head(system), *blocks, *_tanks(system), *_lines(system)]) + "\n"


def _selectors_and_tees(system: Growing) -> list[str]:
    """Say what each place is; selectors take only places that all lines but one lead into."""
    blocks, room = [], MOST_POSITIONS
    drained = {reaches for _, _, reaches in system.drains}
    for name, place in system.places.items():
        inward = [run.name for run in system.runs if run.end == name and run.led]
        others = [run for run in system.runs if name in (run.start, run.end)]
        outward = [run.name for run in others if run.start == name and run.led]
        text = f"name = {json.dumps(name)}\nat = {_point(place)}\n"
        is_pure = len(outward) == 1 and len(inward) == len(others) - 1 and name not in drained
        if is_pure and len(inward) >= 2 and room >= len(inward) and system.maybe(0.7):
            most = room if len(inward) < 2 else int(system.dice.integers(len(inward), room + 1))
            positions = _positions(system, len(inward), most)
            room //= len(positions)
            blocks.append(f"[[selector]]\n{text}" + _ports(system, inward, outward[0], positions))
        elif len(others) == 3 and name not in drained and system.maybe(0.6):
            legs = [str(leg) for leg in system.dice.permutation([run.name for run in others])]
            common = outward[0] if len(outward) == 1 else legs[0]
            words = f"run = {json.dumps(legs[:2])}\nbranch = {json.dumps(legs[2])}\n"
            blocks.append(f"[[tee]]\n{text}{words}common = {json.dumps(common)}\n")
        else:
            blocks.append(f"[[junction]]\n{text}")
    for drain, at, reaches in system.drains:
        where = f"at = {_point(at)}\n" if at else f"reaches = {json.dumps(reaches)}\n"
        blocks.append(f"[[drain]]\nname = {json.dumps(drain)}\n{where}")
    return blocks


def _positions(system: Growing, ports: int, most: int) -> list[list[int]]:
    """Draw which ports each position opens: every port alone, then mixtures, perhaps none."""
    found = [[port] for port in range(ports)]
    while len(found) < most:
        open_ports = np.flatnonzero(system.dice.random(ports) < 0.5).tolist()
        if open_ports in found:
            break
        found.append(open_ports)
    return found


def _ports(system: Growing, inward: list[str], outlet: str, positions: list[list[int]]) -> str:
    ports = ", ".join(f"p{i} = {json.dumps(line)}" for i, line in enumerate(inward))
    settings = ", ".join(
        f"s{i} = {json.dumps([f'p{port}' for port in opened])}"
        for i, opened in enumerate(positions)
    )
    judged = [f"s{i}" for i, opened in enumerate(positions) if opened]
    words = [
        f"ports = {{ {ports} }}", f"outlet = {json.dumps(outlet)}",
        f"positions = {{ {settings} }}", f"judged = {json.dumps(judged)}",
    ]  # fmt: skip
    if system.maybe(0.5):
        words.append(f'loss = {{ part = "selector", kv = {system.dice.uniform(0.3, 3.0):.3g} }}')
    return "\n".join(words) + "\n"


def _hang_parts(system: Growing) -> None:
    """Hang parts into the lines; valves only where the line has a direction that is meant."""
    to_drain = {drain for drain, at, _ in system.drains if at}
    for run in system.runs:
        for _ in range(int(system.dice.poisson(0.7))):
            run.parts.append(_part(system, run.bore))
        if run.led and system.maybe(0.15):
            crack = float(system.dice.choice([0.0001, 20.0, 300.0, 2000.0]))
            kv = system.dice.uniform(0.2, 3.0) * (run.bore / 8.0) ** 2
            run.parts.append(
                f'{{ part = "one-way valve", cracking = "{crack:g} Pa", kv = {kv:.3g} }}'
            )
        if not run.led and run.end not in to_drain and system.maybe(0.1):
            run.closed = True


def _part(system: Growing, bore: float) -> str:
    """Draw one part of a line of this bore [mm]."""
    own, kind = bore * system.dice.uniform(0.5, 1.0), int(system.dice.integers(8))
    own = max(own, 1.5)
    size = (bore / 8.0) ** 2
    if kind == 0:
        return f'{{ part = "elbow 90", bore = "{own:.3g} mm", count = 2 }}'
    if kind == 1:
        return f'{{ part = "restrictor", bore = "{own:.3g} mm" }}'
    if kind == 2:
        # Drops that rise with a power of the flow, from linear (felt) to square (a hole).
        flows = np.sort(system.dice.uniform(5.0, 90.0, 3)) * size + [0.0, 1.0, 2.0]
        power, scale = system.dice.uniform(1.0, 2.0), system.dice.uniform(0.05, 3.0)
        drops = scale * (flows / (40.0 * size)) ** power
        rows = [
            f'{{ flow = "{flow:.6g} L/h", drop = "{drop:.6g} kPa" }}'
            for flow, drop in zip(flows, drops, strict=True)
        ]
        return f'{{ part = "filter", measured = [{", ".join(rows)}] }}'
    if kind == 3:
        return f'{{ part = "loss", k = {system.dice.uniform(0.0, 30.0):.3g}, k_laminar = 400 }}'
    if kind == 4:
        area = system.dice.uniform(0.5, 20.0) * max(size, 0.3)
        return f'{{ part = "screen", area = "{area:.3g} cm2", mesh = "60 /in", wire = "0.19 mm" }}'
    if kind == 5:
        return f'{{ part = "flow meter", kv = {system.dice.uniform(0.1, 1.0) * size:.3g} }}'
    if kind == 6:
        return f'{{ part = "quadratic loss", coefficient = "{1e10 / size**2:.3g} s2/m5" }}'
    return f'{{ part = "sediment bowl", bore = "{own:.3g} mm" }}'


def _point(place: Place) -> str:
    return json.dumps([f"{value:.4f} m" for value in place])


def _head(system: Growing) -> str:
    """Title, fuel, engine and flight."""
    dice = system.dice
    level = round(float(dice.uniform(-4, 4)), 1)
    climb = round(level + float(dice.uniform(0, 25)), 1)
    speed = round(float(dice.uniform(12, 40)), 1)
    altitude = int(dice.choice([0, 1500, 3000, 6000]))
    burn = 30.0 * (system.narrow / 6.0) ** 2 * dice.uniform(0.2, 2.0)
    return f"""title = "Grown, invented"
{_fuel(system)}
[engine]
inlet_at = {_point(system.inlet)}
feed = "gravity"
burn = "{burn:.4g} L/h"
descent_burn = "{burn / 3:.4g} L/h"
{_carburettor(system)}
[flight]
level_pitch = "{level} deg"
climb_pitch = "{climb} deg"
climb_speed = "{speed} m/s"
pressure_altitude = "{altitude} m"
descent_pitch = "{level - 6:.1f} deg"

[test]
draw = "0.5 L"
"""


def _fuel(system: Growing) -> str:
    dice = system.dice
    if system.maybe(0.25):  # thick cold oil, or a solvent
        thick = float(np.exp(dice.uniform(np.log(0.3), np.log(40.0))))
        thin = max(thick / dice.uniform(1.5, 6.0), 0.22)
        return (
            '[fuel]\nkind = "own"\ntemperatures = ["-30 degC", "45 degC"]\n'
            f'density = [{{ at = "15 degC", value = "{dice.uniform(650, 900):.1f} kg/m3" }}]\n'
            f'viscosity = [{{ at = "-30 degC", value = "{thick:.4g} mm2/s" }}, '
            f'{{ at = "45 degC", value = "{thin:.4g} mm2/s" }}]\n'
            'vapour_pressure = [{ at = "20 degC", value = "1 kPa" }]\n'
        )
    name, low, high = FUELS[int(dice.integers(len(FUELS)))]
    return f'[fuel]\nkind = "{name}"\ntemperatures = ["{low} degC", "{high} degC"]\n'


def _carburettor(system: Growing) -> str:
    kind = int(system.dice.integers(3))
    if kind == 0:
        return ""
    if kind == 1:
        return (
            "[engine.carburettor]\n"
            f'least_inlet_pressure = "{system.dice.uniform(0.0, 3.0):.3g} kPa"\n'
        )
    least = min(run.bore for run in system.runs if run.end == ENGINE)
    seat = max(min(least, 6.0) * system.dice.uniform(0.4, 0.95), 1.0)
    level = (system.inlet[0] + 0.03, system.inlet[1], round(system.inlet[2] + 0.01, 4))
    return (
        f"[engine.carburettor]\nfloat_level_at = {_point(level)}\n"
        f'parts = [{{ part = "needle and seat", bore = "{seat:.4g} mm" }}]\n'
    )


def _tanks(system: Growing) -> list[str]:
    """Boxes, dip tables and stated levels."""
    found = []
    for vessel in system.vessels:
        (x, y, z), (length, width, depth) = vessel.corner, vessel.size
        litres = 1000.0 * length * width * depth
        kind = int(system.dice.integers(4))
        words = [f"[[tank]]\nname = {json.dumps(vessel.name)}"]
        if kind == 0:
            middle = (x + length / 2, y + width / 2, z + system.dice.uniform(0.3, 1.0) * depth)
            words += ['shape = "level"', f"surface_at = {_point(middle)}"]
        elif kind == 1:
            middle = (x + length / 2, y + width / 2, z)
            words += [
                'shape = "dips"', f"dip_at = {_point(middle)}", 'dip_pitch = "0 deg"',
                f'dips = [{{ dip = "0 mm", quantity = "0 L" }}, '
                f'{{ dip = "{1000 * depth:.4g} mm", quantity = "{litres:.4g} L" }}]',
                f'floor_length = "{length} m"', f'floor_width = "{width} m"',
                f"floor_at = {_point(middle)}",
            ]  # fmt: skip
        else:
            far = (x + length, y + width, z + depth)
            words += ['shape = "box"', f"corners = [{_point(vessel.corner)}, {_point(far)}]"]
        if kind:
            words += [f'unusable = "{0.05 * litres:.4g} L"', f'least_takeoff = "{0.3 * litres} L"']
        vent = ["forward", "flush", "cap", "unknown"][int(system.dice.integers(4))]
        words.append(f'vent = {{ kind = "{vent}" }}')
        for name, place in vessel.outlets.items():
            style = ["flush", "standpipe"][int(system.dice.integers(2))]
            words += [
                f"[[tank.outlet]]\nname = {json.dumps(name)}\nat = {_point(place)}",
                f'bore = "{system.bore()} mm"\nstyle = "{style}"',
            ]
        found.append("\n".join(words) + "\n")
    return found


def _lines(system: Growing) -> list[str]:
    """Straight runs, and runs of stated length whose course nobody wrote down."""
    found = []
    for run in system.runs:
        away = math.dist(system.at(run.start), system.at(run.end))
        slack = away * system.dice.uniform(1.0, 1.4) + 0.02
        is_straight = away > 0.01 and system.maybe(0.5)
        stated = f'length = "{math.ceil(1e4 * slack) / 1e4} m"'
        course = "straight = true" if is_straight else stated
        rough = system.dice.choice([0.0, 1.5, 30.0])
        words = [
            f"[[line]]\nname = {json.dumps(run.name)}",
            f"from = {json.dumps(run.start)}\nto = {json.dumps(run.end)}\n{course}",
            f'bore = "{run.bore} mm"\nroughness = "{rough:g} um"',
        ]
        if run.closed:
            words.append("closed = true")
        if run.parts:
            words.append(f"parts = [{', '.join(run.parts)}]")
        found.append("\n".join(words) + "\n")
    return found
