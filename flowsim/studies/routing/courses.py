"""The lines as centre-lines, and as a graph of spans that rise or fall all the way."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray
from flowsim.physics.course.centre_line import Arc, CentreLine, Piece, centre_line
from flowsim.physics.course.height_profile import Span, profile
from flowsim.studies.routing.result import Place
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.points import Point

AT_END = 1e-6
"""[m] A tap so near an end of its line is at that end."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidLine:
    """One line as it is laid: from node ``start`` to node ``end`` along ``centre``.

    ``length`` [m] as the case has it (at least the centre-line's), ``bore`` [m]. ``known`` is
    False where only its ends are known; then ``centre`` is the straight between them.
    ``taps`` are drains on it: name, place along it [m], and the drain's own point.
    """

    name: str
    start: str
    end: str
    centre: CentreLine
    length: float
    bore: float
    known: bool
    taps: tuple[tuple[Said, float, Point], ...] = ()
    end_words: tuple[Said, Said] | None = None
    """What its ends are called, where that is not their names."""

    @property
    def area(self) -> float:
        """Volume per length of centre-line [m2]; a stated longer length counts in full."""
        return float(np.pi * self.bore**2 / 4.0 * self.length / self.centre.length)


def laid_lines(system: FuelSystem) -> tuple[LaidLine, ...]:
    """Give every line of a system as it is laid, with the drains that are on it.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    tuple of LaidLine
        In file order. A line whose ends coincide and whose course is unknown is left out.

    Raises
    ------
    DomainError
        A route that is no line (see ``centre_line``), with the line's name.
    """
    places = {drain.name: drain.at for drain in system.drains} | system.places()
    laid = []
    for line in system.all_lines:
        points = line.route or (places[line.start], places[line.end])
        try:
            course = centre_line(points, line.radii if line.route else None)
        except DomainError as error:
            if line.route is None:
                continue
            raise DomainError(f'line "{line.name}": {error}') from error
        taps = tuple(
            (drain.name, course.nearest(drain.at)[0], drain.at)
            for drain in system.drains
            if drain.reaches == line.name
        )
        laid.append(
            LaidLine(
                name=line.name,
                start=line.start,
                end=line.end,
                centre=course,
                length=max(line.length, course.length),
                bore=line.bore,
                known=line.route is not None,
                taps=taps,
            )
        )
    return tuple(laid)


@dataclass(slots=True, eq=False)
class Vertex:
    """A place where spans meet: its ``height`` [m] and what is there.

    ``is_open`` tells that fuel and air can leave there (an outlet, the inlet, a vent's ends).
    ``taps`` are drains: name and height [m] of the drain's own point.
    """

    place: Place
    height: float
    is_open: bool = False
    taps: list[tuple[Said, float]] = field(default_factory=list)


@dataclass(frozen=True, slots=True, eq=False)
class CourseEdge:
    """A span between vertices ``first`` and ``second``; ``area`` [m2], whether it is known."""

    first: int
    second: int
    span: Span
    area: float
    known: bool
    line: str


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """All lines in one attitude as vertices and edges; ``at`` lists the edges of each vertex."""

    vertices: list[Vertex]
    edges: list[CourseEdge]
    at: list[list[int]]


def course_of(
    lines: Sequence[LaidLine],
    up: FloatArray,
    open_nodes: frozenset[str],
    node_taps: Sequence[tuple[str, str, Point]],
) -> Course:
    """Join the lines' spans at their nodes.

    Parameters
    ----------
    lines : sequence of LaidLine
    up : array
        Shape (3,): unit vector that points up. Turned round, it makes dips of humps.
    open_nodes : frozenset of str
        Nodes where fuel and air can leave.
    node_taps : sequence of (drain, node, point)
        Drains at nodes.

    Returns
    -------
    Course
    """
    course = Course([], [], [])
    nodes: dict[str, int] = {}

    def add(place: Place, height: float, is_open: bool = False) -> int:
        course.vertices.append(Vertex(place, height, is_open))
        course.at.append([])
        return len(course.vertices) - 1

    def node(name: str, words: Said, at: FloatArray) -> int:
        if name not in nodes:
            place = Place(words=words, at=Point(*at), line=None, along=None, node=name, corner=None)
            nodes[name] = add(place, float(up @ at), name in open_nodes)
        return nodes[name]

    for line in lines:
        cuts = [along for _, along, _ in line.taps if AT_END < along < line.centre.length - AT_END]
        spans = profile(line.centre, up, cuts)
        start, end = line.end_words or (line.start, line.end)
        before = node(line.start, start, line.centre.points[0])
        on_line = {0.0: before}
        for number, span in enumerate(spans):
            if number == len(spans) - 1:
                after = node(line.end, end, line.centre.points[-1])
            else:
                after = add(place_on(line, span.end, span.piece), span.end_height)
            on_line[span.end] = after
            edge = CourseEdge(before, after, span, line.area, line.known, line.name)
            course.edges.append(edge)
            course.at[before].append(len(course.edges) - 1)
            course.at[after].append(len(course.edges) - 1)
            before = after
        for name, along, at in line.taps:
            off = {abs(place - along): vertex for place, vertex in on_line.items()}
            tapped = course.vertices[off[min(off)]]
            tapped.taps.append((name, float(up @ np.array(at))))
    for name, at_node, at in node_taps:
        if at_node in nodes:
            course.vertices[nodes[at_node]].taps.append((name, float(up @ np.array(at))))
    return course


def place_on(line: LaidLine, along: float, piece: Piece, begins: bool = False) -> Place:
    """Name a place ``along`` [m] a line at which ``piece`` ends (or ``begins``)."""
    corner = piece.number if isinstance(piece, Arc) or begins else piece.number + 1
    at = Point(*(float(axis) for axis in line.centre.point(along)))
    return _place(line, along, at, corner)


def place_at_corner(line: LaidLine, corner: int) -> Place:
    """Name the place of a line that is nearest to its point number ``corner``."""
    along, _ = line.centre.nearest(line.centre.points[corner])
    at = Point(*(float(axis) for axis in line.centre.point(along)))
    return _place(line, along, at, corner)


def _place(line: LaidLine, along: float, at: Point, corner: int) -> Place:

    words = saying("courses.line_point_after_start", line=line.name, corner=corner, along=along)
    return Place(words=words, at=at, line=line.name, along=along, node=None, corner=corner)
