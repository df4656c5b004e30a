"""Case files that are laid out in space: tanks as boxes, places as points, lines as courses.

Every number is invented. Tanks lie in the wings and in the fuselage, places are scattered, nearest
first are joined until all hang on the engine, near pairs are joined once more (rings), lines go
along the axes with a bend at each corner. What a place is (tee, selector, dead end, drain) follows
from the lines that happen to meet there. Inches throughout, sizes of tube as they are sold.
"""

import json
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from flowsim.physics.arrays import FloatArray

ENGINE = "engine"
MOST_LINES = 60
TUBES = (
    ("1/8 in x 0.022 in", 0.081), ("3/16 in x 0.028 in", 0.1315), ("1/4 in x 0.035 in", 0.18),
    ("5/16 in x 0.035 in", 0.2425), ("3/8 in x 0.035 in", 0.305), ("1/2 in x 0.049 in", 0.402),
    ("5/8 in x 0.049 in", 0.527), ("1 in x 0.020 in", 0.96),
)  # fmt: skip
LIQUIDS = (
    ('kind = "avgas 100LL"', "45 degC", "6000 m"), ('kind = "avgas 100LL"', "-35 degC", "0 m"),
    ('kind = "motor gasoline summer E10"', "55 degC", "6000 m"),
    ('kind = "motor gasoline winter"', "-30 degC", "8000 ft"),
    ('kind = "jet kerosene heavy"', "-40 degC", "12000 ft"), ('kind = "diesel"', "-20 degC", "0 m"),
    ('kind = "avgas unleaded"\nviscosity = [{ at = "20 degC", value = "0.58 cSt" }]',
     "50 degC", "5000 m"),
)  # fmt: skip
MARKS = ("", ": ", " \u2116 ", " (x) ", ' "q" ', " \u00f6")
"""What stands between the words of a name: names are the builder's, whatever they hold."""


@dataclass
class _Course:
    """A line: ends, its points, its size (index of TUBES), whether its direction is meant."""

    name: str
    start: str
    end: str
    points: FloatArray
    size: int
    led: bool
    to_drain: bool = False


@dataclass
class _Plan:
    """All that has been put into the aeroplane."""

    dice: np.random.Generator
    mark: str
    spots: dict[str, FloatArray] = field(default_factory=dict)
    parent: dict[str, str] = field(default_factory=dict)
    tanks: list[str] = field(default_factory=list)
    courses: list[_Course] = field(default_factory=list)
    drains: dict[str, FloatArray | None] = field(default_factory=dict)

    def name(self, stem: str, number: int) -> str:
        return f"{stem}{self.mark or ' '}{number}"

    def lay(self, start: str, end: str, *, led: bool = True, at: FloatArray | None = None) -> None:
        """Lay a line along the axes, or straight where the steps are too short for bends."""
        first, last = self.spots[start], self.spots[end] if at is None else at
        points = [first]
        for axis in self.dice.permutation(3) if self.dice.random() < 0.8 else []:
            step = points[-1].copy()
            step[axis] = last[axis]
            if abs(step[axis] - points[-1][axis]) > 1.5:
                points.append(step)
        if len(points) > 1 and np.abs(points[-1] - last).max() <= 1.5:
            points.pop()
        number = len(self.courses)
        size = int(self.dice.choice([self.usual, self.dice.integers(len(TUBES))], p=[0.6, 0.4]))
        course = _Course(
            self.name("run", number), start, end, np.array([*points, last]), size, led,
            to_drain=at is not None,
        )  # fmt: skip
        self.courses.append(course)

    @property
    def usual(self) -> int:
        """Size of most lines of this aeroplane."""
        return 2 + len(self.mark) % 4

    def at(self, place: str) -> list[_Course]:
        """Lines that meet at a place."""
        return [course for course in self.courses if place in (course.start, course.end)]


def laid_case(seed: int) -> str:
    """Give the TOML text of the case file that this seed lays out.

    Parameters
    ----------
    seed : int
        From 0.

    Returns
    -------
    str
        A case of 1 to 60 lines; the same for the same seed.
    """
    dice = np.random.default_rng([seed, 1919])
    plan = _Plan(dice, MARKS[int(dice.integers(len(MARKS)))])
    count = int(dice.choice([0, 1, 2, 4, 8, 14, 22, 34]))
    inlet = np.array([dice.uniform(-20, 10), dice.uniform(-5, 5), dice.uniform(0, 25)])
    plan.spots[ENGINE] = inlet.round(2)
    _scatter(plan, count)
    tanks = [_tank(plan, number) for number in range(int(dice.integers(1, 7)))]
    _near_pairs(plan, count)
    _drains(plan)
    sections = [
        _top(plan), *_places(plan), *tanks, *(_line_text(plan, one) for one in plan.courses),
    ]  # fmt: skip
    return "\n".join(sections)


def _scatter(plan: _Plan, count: int) -> None:
    """Scatter places and join each in turn, the nearest first, to what hangs on the engine."""
    flat = plan.dice.random() < 0.2
    low, high = [0.0, -20.0, 0.0], [90.0, 20.0, 0.4 if flat else 55.0]
    for number in range(count):
        spot = plan.dice.uniform(low, high).round(2)
        plan.spots[plan.name("spot", number)] = spot
    waiting = [name for name in plan.spots if name != ENGINE]
    hanging = [ENGINE]
    while waiting:
        apart = np.array([[_apart(plan, one, other) for other in hanging] for one in waiting])
        row, column = np.unravel_index(int(apart.argmin()), apart.shape)
        child, parent = waiting.pop(int(row)), hanging[int(column)]
        plan.parent[child] = parent
        hanging.append(child)
        plan.lay(child, parent)


def _apart(plan: _Plan, one: str, other: str) -> float:
    return float(np.linalg.norm(plan.spots[one] - plan.spots[other]))


def _nearest(plan: _Plan, spot: FloatArray, places: list[str], number: int) -> list[str]:
    """Names of the nearest places, at most so many."""
    order = np.argsort([float(np.linalg.norm(plan.spots[name] - spot)) for name in places])
    return [places[int(index)] for index in order[:number]]


def _tank(plan: _Plan, number: int) -> str:
    """Put a tank into a wing or the fuselage and join its outlets to the nearest places."""
    dice, name = plan.dice, plan.name("tank", number)
    plan.tanks.append(name)
    in_wing = number < 2 or dice.random() < 0.6
    side = -1.0 if number % 2 else 1.0
    base = np.array([dice.uniform(25, 45), side * (18 + 30 * (number // 2)), dice.uniform(52, 74)])
    size = np.array([dice.uniform(8, 26), dice.uniform(10, 28), dice.uniform(2, 7)])
    if not in_wing:
        base = np.array([dice.uniform(8, 80), dice.uniform(-8, 0), dice.uniform(18, 45)])
        size = np.array([dice.uniform(4, 12), dice.uniform(4, 12), dice.uniform(3, 12)])
        side = 1.0
    base, size = base.round(2), size.round(2)
    fed_from = [place for place in plan.spots if place in plan.parent]
    outlets = []
    for port in range(int(dice.integers(1, 4))):
        share = dice.uniform([0.1, 0.1, 0.02], [0.9, 0.9, 0.08])
        is_inlet = port > 0 and not in_wing and bool(fed_from) and dice.random() < 0.6
        share[2] = 0.9 if is_inlet else share[2]
        reach = size * share * [1.0, side, 1.0]
        spot = (base + reach).round(3)
        node = f"{name}.port {port}"
        plan.spots[node] = spot
        if is_inlet:
            plan.lay(_nearest(plan, spot, fed_from, 1)[0], node, led=False)
        else:
            known = [ENGINE, *plan.parent]
            plan.lay(node, _nearest(plan, spot, known, port + 1)[-1])
        outlets.append(_outlet_text(plan, port, spot))
    head = f"[[tank]]\nname = {json.dumps(name)}\n{_shape(plan, base, size, side)}"
    return "\n".join([head, *outlets])


def _outlet_text(plan: _Plan, port: int, spot: FloatArray) -> str:
    dice = plan.dice
    words = [
        f'[[tank.outlet]]\nname = "port {port}"\nat = {_inches(spot)}',
        f'bore = "{dice.uniform(0.09, 0.9):.3f} in"',
    ]
    if dice.random() < 0.5:
        clear = dice.choice([0.05, 0.3, 0.9, 1.0])
        words.append(
            f'screen = {{ area = "{dice.uniform(0.3, 4):.2f} in2", mesh = "16 /in", '
            f'wire = "0.018 in", clear_fraction = {clear} }}'
        )
    if dice.random() < 0.3:
        words.append('parts = [{ part = "bulkhead union" }]')
    return "\n".join(words)


def _shape(plan: _Plan, base: FloatArray, size: FloatArray, side: float) -> str:
    """Give a box, a bay whose top rises to its tip, or a body of cells, all with one floor."""
    dice = plan.dice
    litres = float(np.prod(size)) * 0.016387
    kind = int(dice.integers(3))
    far = base + size * [1.0, side, 1.0]
    words = [f'shape = "box"\ncorners = [{_inches(base)}, {_inches(far)}]']
    section = np.array([[0, 0, 0], [1, 0, 0], [1, 0, 1], [0, 0, 1.0]]) * size
    tip = np.array([0.0, side * size[1], 0.0])
    if kind == 1:
        root = ", ".join(_inches(base + corner) for corner in section)
        deeper = section * [1.0, 1.0, dice.uniform(1.0, 1.5)]
        outer = ", ".join(_inches(base + corner + tip) for corner in deeper)
        words = [f'shape = "lofted"\nroot = [{root}]\ntip = [{outer}]']
    if kind == 2:
        corners = np.concatenate([section, section + tip]) + base
        words = [f'shape = "cells"\ncells = [[{", ".join(_inches(one) for one in corners)}]]']
    return "\n".join(
        [
            *words,
            f"fill_factor = {dice.uniform(0.9, 1.0):.3f}",
            f'unusable = "{0.06 * litres:.4g} L"',
            f'least_takeoff = "{0.35 * litres:.4g} L"',
            *_vent(dice),
        ]
    )


def _vent(dice: np.random.Generator) -> list[str]:
    kind = int(dice.integers(4))
    if kind == 0:
        return []
    if kind == 1:
        return ['vent = { kind = "cap", pressure_coefficient = -0.8, band = [-1.2, -0.3] }']
    return [f'vent = {{ kind = "{["flush", "forward"][kind - 2]}" }}']


def _near_pairs(plan: _Plan, count: int) -> None:
    """Join near pairs that are not joined yet: rings, and more lines at the engine."""
    joined = {frozenset((one.start, one.end)) for one in plan.courses}
    names = [ENGINE, *plan.parent]
    more = min(int(plan.dice.integers(0, 1 + count // 3)), MOST_LINES - len(plan.courses))
    for _ in range(more):
        start = names[int(plan.dice.integers(len(names)))]
        near = _nearest(plan, plan.spots[start], names, 4)[1:]
        end = near[int(plan.dice.integers(len(near)))] if near else start
        if start != end and frozenset((start, end)) not in joined:
            joined.add(frozenset((start, end)))
            if start == ENGINE:
                start, end = end, start
            plan.lay(start, end, led=end == ENGINE)
        elif end not in (start, ENGINE) and plan.dice.random() < 0.3:  # a second line beside one
            plan.lay(end, start, led=False)


def _drains(plan: _Plan) -> None:
    """Give some places a drain, with a line of its own or without; the blind ones stay blind."""
    room = MOST_LINES - len(plan.courses)
    for number, place in enumerate(plan.parent):
        choice = plan.dice.random()
        name = plan.name("drain", number)
        if choice < 0.1 and room > 0:
            room -= 1
            spot = (plan.spots[place] + plan.dice.uniform([-3, -3, -8], [3, 3, -2])).round(2)
            plan.drains[name] = spot
            plan.lay(place, name, led=False, at=spot)
        elif choice < 0.2:
            plan.drains[name] = None


def _places(plan: _Plan) -> list[str]:
    """Say what each place is by the lines that meet there."""
    found, settings = [], 1
    for number, place in enumerate(plan.parent):
        head = f"name = {json.dumps(place)}\nat = {_inches(plan.spots[place])}"
        drain = plan.name("drain", number)
        if drain in plan.drains:
            spot = plan.drains[drain]
            where = f"reaches = {json.dumps(place)}" if spot is None else f"at = {_inches(spot)}"
            found.append(f"[[drain]]\nname = {json.dumps(drain)}\n{where}")
        meeting, parent = plan.at(place), plan.parent[place]
        onward = next(one for one in meeting if place == one.start and one.end == parent)
        others = [one for one in meeting if one is not onward]
        is_fed = all(one.led and one.end == place for one in others)
        if len(others) == 2 and drain not in plan.drains and plan.dice.random() < 0.6:
            found.append(f"[[tee]]\n{head}\n{_tee(plan, place, others, onward)}")
        elif len(others) > 1 and is_fed and settings * len(others) <= 10:
            text, number_of = _selector(plan, others, onward, 10 // settings)
            settings *= number_of
            found.append(f"[[selector]]\n{head}\n{text}")
        else:
            found.append(f"[[junction]]\n{head}")
    return found


def _tee(plan: _Plan, place: str, others: list[_Course], onward: _Course) -> str:
    """Put the run of a tee where two lines go on straightest."""
    away = []
    for one in (*others, onward):
        near, far = (0, 1) if one.start == place else (-1, -2)
        way = one.points[far] - one.points[near]
        away.append(way / max(float(np.linalg.norm(way)), 1e-9))
    legs = [*(one.name for one in others), onward.name]
    pairs = [(0, 1, 2), (0, 2, 1), (1, 2, 0)]
    first, second, branch = min(pairs, key=lambda pair: float(away[pair[0]] @ away[pair[1]]))
    bore = f'\nbore = "{plan.dice.uniform(0.1, 0.6):.3f} in"' if plan.dice.random() < 0.5 else ""
    return (
        f"run = {json.dumps([legs[first], legs[second]])}\nbranch = {json.dumps(legs[branch])}\n"
        f"common = {json.dumps(onward.name)}{bore}"
    )


def _selector(plan: _Plan, others: list[_Course], onward: _Course, room: int) -> tuple[str, int]:
    """A selector with each port alone, all together, and off where there is room."""
    ports = {f"in {number}": one.name for number, one in enumerate(others)}
    positions = {f"only {port}": [port] for port in ports}
    for name, opened in (("all", list(ports)), ("off", [])):
        if len(positions) < room:
            positions[name] = opened
    judged = [name for name, opened in positions.items() if opened]
    named = ", ".join(f"{json.dumps(port)} = {json.dumps(line)}" for port, line in ports.items())
    opens = ", ".join(f"{json.dumps(name)} = {json.dumps(p)}" for name, p in positions.items())
    loss = '\nloss = { part = "selector", cv = 1.4 }' if plan.dice.random() < 0.5 else ""
    return (
        f"ports = {{ {named} }}\noutlet = {json.dumps(onward.name)}\n"
        f"positions = {{ {opens} }}\njudged = {json.dumps(judged)}{loss}"
    ), len(positions)


def _line_text(plan: _Plan, course: _Course) -> str:
    """Write a line with its course; a bend or a drilled elbow at each corner."""
    dice, (tube, bore) = plan.dice, TUBES[course.size]
    words = [f"[[line]]\nname = {json.dumps(course.name)}"]
    words.append(f"from = {json.dumps(course.start)}\nto = {json.dumps(course.end)}")
    inner = course.points[1:-1]
    parts = _fitted(plan, course, bore)
    if len(inner):
        words.append(f"via = [{', '.join(_inches(point) for point in inner)}]")
        legs = np.linalg.norm(np.diff(course.points, axis=0), axis=1)
        radius = 0.3 * float(legs.min())
        if radius < 1.5 * bore or dice.random() < 0.2:
            corners = [f'{{ point = {1 + i}, fitting = "corner" }}' for i in range(len(inner))]
            words.append(f"corners = [{', '.join(corners)}]")
            parts.append(
                f'{{ part = "elbow 90", name = "corner", bore = "{0.9 * bore:.4f} in", '
                f"count = {len(inner)} }}"
            )
        else:
            words.append(f'bend_radius = "{min(radius, 4.0):.3f} in"')
    else:
        words.append("straight = true")
    words.append(f'hose_bore = "{bore} in"' if dice.random() < 0.2 else f'tube = "{tube}"')
    if parts:
        words.append(f"parts = [{', '.join(parts)}]")
    return "\n".join(words)


def _fitted(plan: _Plan, course: _Course, bore: float) -> list[str]:
    """Devices along a line."""
    dice, parts, size = plan.dice, [], (bore / 0.3) ** 2
    if dice.random() < 0.25:
        clear = dice.choice([0.1, 0.5, 0.95])
        parts.append(
            f'{{ part = "screen", area = "{dice.uniform(0.3, 3):.3f} in2", mesh = "60 /in", '
            f'wire = "0.0075 in", clear_fraction = {clear} }}'
        )
    if dice.random() < 0.2:
        gallons = np.array([4.0, 9.0, 20.0]) * size
        steep = dice.uniform(0.01, 0.4) * np.array([1.0, dice.uniform(2, 5), dice.uniform(7, 25)])
        rows = ", ".join(
            f'{{ flow = "{gallon:.5g} US_gal/h", drop = "{drop:.5g} psi" }}'
            for gallon, drop in zip(gallons, steep, strict=True)
        )
        liquid = ', density = "998 kg/m3", viscosity = "1 cSt"' if dice.random() < 0.5 else ""
        parts.append(f'{{ part = "flow meter", measured = [{rows}]{liquid} }}')
    if dice.random() < 0.1:
        hole = max(0.04, bore * dice.uniform(0.45, 0.95))
        parts.append(f'{{ part = "restrictor", bore = "{hole:.4f} in" }}')
    if dice.random() < 0.15:
        parts.append(f'{{ part = "straight union", count = {int(dice.integers(1, 5))} }}')
    if dice.random() < 0.1:
        parts.append(f'{{ part = "fine filter bowl", cv = {0.5 * size:.3g} }}')
    if course.led and dice.random() < 0.12:
        crack = dice.choice([0.001, 0.02, 0.2])
        parts.append(f'{{ part = "one-way valve", cracking = "{crack} psi", cv = {2 * size:.3g} }}')
    return parts


def _inches(point: npt.ArrayLike) -> str:
    return json.dumps([f"{value:.3f} in" for value in np.asarray(point, dtype=float)])


def _top(plan: _Plan) -> str:
    """Title, fuel, engine and flight."""
    dice = plan.dice
    kind, temperature, altitude = LIQUIDS[int(dice.integers(len(LIQUIDS)))]
    inlet = plan.spots[ENGINE]
    seat = 0.9 * min(TUBES[one.size][1] for one in plan.at(ENGINE))
    carburettor = ""
    if dice.random() < 0.6:
        carburettor = (
            f"[engine.carburettor]\nfloat_level_at = {_inches(inlet + np.array([1.0, 0.0, 0.5]))}\n"
            'parts = [{ part = "screen", area = "0.5 in2", mesh = "60 /in", wire = "0.0075 in" }, '
            f'{{ part = "needle and seat", bore = "{min(seat, 0.2):.4f} in" }}]\n'
        )
    return f"""title = "Laid out, invented"
[fuel]
{kind}
temperatures = ["{temperature}", "10 degC"]
[engine]
inlet_at = {_inches(inlet)}
feed = "gravity"
rated_power = "{dice.uniform(20, 200):.0f} hp"
{carburettor}[flight]
climb_pitch = "{dice.uniform(4, 25):.1f} deg"
climb_speed = "{dice.uniform(30, 80):.0f} kt"
pressure_altitude = "{altitude}"
[test]
draw = "0.2 L"
"""
