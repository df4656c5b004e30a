"""Bores that differ along the way: one system written in several ways, and narrowed anywhere."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from flowsim.network.assembly import Assembly, assemble
from flowsim.network.solver import solve
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.physics.losses.laws import loss_law
from flowsim.studies.adequacy.loss_paths import loss_paths_of
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Junction, Line
from flowsim.system.parts import FlowCoefficient, MinorLoss, Part, Pipe
from flowsim.system.points import Point
from tests.support.plain_systems import liquid, plain, reservoir, situation

SURFACE = 0.9
TOP, FOOT = Point(1.0, 0.0, 0.6), Point(1.0, 0.0, 0.0)
SEEDS = range(60)


def pipe(rng: np.random.Generator) -> Pipe:
    """A piece from very short to long, of a bore from 3 to 12 mm."""
    return Pipe(
        name="piece",
        length=float(np.exp(rng.uniform(np.log(0.003), np.log(1.0)))),
        bore=float(rng.uniform(0.003, 0.012)),
        roughness=1.5e-6,
        source="invented",
    )


def part(rng: np.random.Generator) -> Part:
    kind = rng.choice(["pipe", "pipe", "elbow 90", "elbow 45", "straight union", "kv"])
    if kind == "pipe":
        return pipe(rng)
    bore = float(rng.uniform(0.003, 0.012))
    if kind == "kv":
        return FlowCoefficient(name="valve", kind="valve", bore=bore, kv=0.8, source="invented")
    made = fitting(str(kind), bore, count=int(rng.integers(1, 3)))
    tube = float(rng.uniform(0.005, 0.012))
    return replace(made, joins=(tube, tube)) if rng.random() < 0.5 else made


def random_parts(rng: np.random.Generator) -> tuple[Part, ...]:
    """Three to eight parts, the first and the last of them pieces."""
    return (pipe(rng), *(part(rng) for _ in range(rng.integers(1, 7))), pipe(rng))


def line(name: str, start: str, end: str, points: Sequence[Point], parts: Sequence[Part]) -> Line:
    return Line(
        name=name, start=start, end=end, parts=tuple(parts), route=tuple(points),
        length=sum(p.length for p in parts if isinstance(p, Pipe)), bore=0.008,
    )  # fmt: skip


def in_line(parts: Sequence[Part], mouth: float = 0.008, viscosity: float = 7e-7) -> FuelSystem:
    """A reservoir over one line."""
    tank = reservoir("tank", SURFACE, {"out": TOP}, mouth=0.5, bore=mouth)
    one = line("line", "tank.out", "engine", [TOP, FOOT], parts)
    return plain([tank], [one], fuel=liquid(viscosity))


def in_two(parts: Sequence[Part], cut: int, mouth: float = 0.008) -> FuelSystem:
    """The same with a plain junction before part number ``cut``."""
    middle = Point(1.0, 0.0, 0.3)
    tank = reservoir("tank", SURFACE, {"out": TOP}, mouth=0.5, bore=mouth)
    lines = [
        line("upper", "tank.out", "joint", [TOP, middle], parts[:cut]),
        line("lower", "joint", "engine", [middle, FOOT], parts[cut:]),
    ]
    return plain([tank], lines, [Junction(name="joint", at=middle)], fuel=liquid(7e-7))


def turned(system: FuelSystem) -> FuelSystem:
    """Every line written from its other end."""
    lines = tuple(
        replace(
            item,
            start=item.end,
            end=item.start,
            parts=item.parts[::-1],
            route=None if item.route is None else item.route[::-1],
        )
        for item in system.lines
    )
    return replace(system, lines=lines)


def flow_of(system: FuelSystem) -> float:
    """Flow [m3/s] out of the open end."""
    assembly = assemble(system)
    found = solve(assembly.network, situation(assembly).conditions)
    assert found.converged.all()
    return float(found.flow[0, assembly.open_link])


def bore_of(item: Part) -> float:
    assert isinstance(item, Pipe | MinorLoss | FlowCoefficient)
    return item.bore


@pytest.mark.parametrize("seed", SEEDS)
def test_one_line_or_two_or_written_from_the_engine_give_one_flow(seed):
    rng = np.random.default_rng(seed)
    parts, mouth = random_parts(rng), float(rng.uniform(0.004, 0.012))
    flow = flow_of(in_line(parts, mouth))
    assert flow > 0
    assert flow_of(turned(in_line(parts, mouth))) == pytest.approx(flow, rel=1e-9)
    pipes = [number for number, item in enumerate(parts) if isinstance(item, Pipe)]
    for cut in range(1, len(parts)):
        if any(number < cut for number in pipes) and any(number >= cut for number in pipes):
            two = in_two(parts, cut, mouth)
            assert flow_of(two) == pytest.approx(flow, rel=1e-9)
            assert flow_of(turned(two)) == pytest.approx(flow, rel=1e-9)
    twice = [half for item in parts for half in halves(item)]
    assert flow_of(in_line(twice, mouth)) == pytest.approx(flow, rel=1e-9)


def halves(item: Part) -> list[Part]:
    """Cut a piece in two; anything else stays."""
    if not isinstance(item, Pipe):
        return [item]
    return [replace(item, length=share * item.length) for share in (0.3, 0.7)]


def narrowed(parts: tuple[Part, ...], number: int, bore: float) -> tuple[Part, ...]:
    new = replace(parts[number], bore=bore)
    return (*parts[:number], new, *parts[number + 1 :])


@pytest.mark.parametrize("seed", SEEDS)
def test_a_piece_narrowed_below_its_neighbours_never_gives_more(seed):
    """Anywhere along the way, however short; the last piece and the first as well.

    But for a pocket: see below.
    """
    rng = np.random.default_rng(seed)
    parts, mouth = random_parts(rng), float(rng.uniform(0.004, 0.012))
    before = flow_of(in_line(parts, mouth))
    least = min([mouth, *(bore for item in parts for bore in _bores(item))])
    for number, item in enumerate(parts):
        if isinstance(item, Pipe) and not _is_pocket(parts, number, mouth):
            worse = narrowed(parts, number, float(rng.uniform(0.5, 0.999)) * least)
            assert flow_of(in_line(worse, mouth)) < before
    for place in range(len(parts) + 1):
        bore = float(rng.uniform(0.6, 0.999)) * least
        nipple = Pipe(name="nipple", length=1e-3, bore=bore, roughness=1.5e-6, source="invented")
        worse = (*parts[:place], nipple, *parts[place:])
        assert flow_of(in_line(worse, mouth)) < before


def _is_pocket(parts: Sequence[Part], number: int, mouth: float) -> bool:
    """Tell whether a piece is wider than what is before it and than what is behind it, if any."""
    before = [mouth, *(end for item in parts[:number] for end in _bores(item))][-1]
    behind = [end for item in parts[number + 1 :] for end in _bores(item)][:1]
    own = bore_of(parts[number])
    return own > before and all(own > bore for bore in behind)


def _bores(item: Part) -> tuple[float, ...]:
    """Bores that the flow passes in a part."""
    if isinstance(item, Pipe):
        return (item.bore,)
    if isinstance(item, MinorLoss) and (ends := loss_law(item).ends(item)) is not None:
        return (ends[0], item.bore, ends[1])
    return ()


@pytest.mark.parametrize("seed", SEEDS)
def test_any_bore_of_an_even_line_narrowed_gives_less(seed):
    """What is built: one tube with its fittings; any one of them, or the whole, is made smaller."""
    rng = np.random.default_rng(seed)
    bore = float(rng.uniform(0.004, 0.012))
    count = int(rng.integers(1, 4))
    elbow = replace(fitting("elbow 90", bore, count=count), joins=(bore, bore))
    tube = replace(pipe(rng), bore=bore)
    parts: tuple[Part, ...] = (tube, elbow, tube, replace(elbow, joins=None), tube)
    viscosity = float(10 ** rng.uniform(-6.3, -4.5))  # thin, and so thick that it stays laminar
    before = flow_of(in_line(parts, bore, viscosity))
    less = float(rng.uniform(0.3, 0.999)) * bore
    for number in range(len(parts)):
        assert flow_of(in_line(narrowed(parts, number, less), bore, viscosity)) < before
    assert flow_of(in_line(parts, less, viscosity)) < before  # the tank's outlet
    every = tuple(replace(item, bore=less) for item in parts)
    every = (*every[:1], replace(every[1], joins=(less, less)), *every[2:])
    assert flow_of(in_line(every, less, viscosity)) < before


@pytest.mark.parametrize("seed", SEEDS)
def test_the_energy_closes_with_the_bore_that_is_there(seed):
    rng = np.random.default_rng(seed)
    parts, mouth = random_parts(rng), float(rng.uniform(0.004, 0.012))
    for system in (in_line(parts, mouth), turned(in_line(parts, mouth))):
        assembly = assemble(system)
        here = situation(assembly)
        (path,) = loss_paths_of(assembly, here, solve(assembly.network, here.conditions), 0)
        assert abs(path.closure) < 1e-9
        assert path.rows[-1].bore == parts[-1].bore
        assert path.rows[-1].loss > 0
        charged = [row for row in path.rows if row.law.startswith("sudden")]
        assert len(charged) == _steps_by_hand(parts, mouth)
        for row in charged:
            terms = dict(row.terms)
            assert row.bore == min(terms["bore_from"], terms["bore_to"])
            assert (row.law == "sudden expansion") == (terms["bore_to"] > terms["bore_from"])


def _steps_by_hand(parts: Sequence[Part], mouth: float) -> int:
    """Count the changes of bore along the way, those into and out of fittings in a tube too."""
    bores = [mouth, *(bore for item in parts for bore in _bores(item))]
    return sum(one != other for one, other in pairwise(bores))


def test_what_a_wide_pocket_costs_is_the_exception_that_is_said():
    """docs/theory/losses.md: a short wide piece loses head; narrowed to its neighbours it does not.

    By no more than the jet into it and the way out of it, on the smaller bore.
    """
    tube = Pipe(name="tube", length=0.5, bore=0.006, roughness=1.5e-6, source="invented")
    pocket = replace(tube, length=0.01, bore=0.012)
    even = replace(pocket, bore=0.006)
    with_pocket = flow_of(in_line((tube, pocket, tube), 0.006))
    without = flow_of(in_line((tube, even, tube), 0.006))
    assert with_pocket < without
    k_of_tube = 1.5 + 0.03 * 1.01 / 0.006
    assert (without / with_pocket) ** 2 < 1 + 1.57 / k_of_tube


def assembly_of(parts: Sequence[Part]) -> Assembly:
    return assemble(in_line(parts))


def test_the_bores_of_ports_and_pieces_are_those_of_the_parts():
    tube = Pipe(name="tube", length=0.3, bore=0.008, roughness=1.5e-6, source="invented")
    end = replace(tube, length=0.1, bore=0.004)
    assembly = assembly_of((tube, end))
    smallest, largest = assembly.port_bores
    assert smallest.tolist() == largest.tolist() == [[0.008, 0.004], [0.004, 0.004]]
    assert [(p.begin, p.end, p.bore) for p in assembly.bore_pieces[0]] == [
        (0.0, pytest.approx(0.75), 0.008),
        (pytest.approx(0.75), 1.0, 0.004),
    ]
