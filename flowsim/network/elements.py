"""Links and their parts, turned into arrays that the solver can evaluate at once.

A link is everything in series between two nodes: one law h(Q), strictly increasing. Its parts keep
their identity, so that a result can say what each of them costs.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.arrays import FloatArray
from flowsim.physics.losses.bore_steps import (
    SOURCE_NARROWS,
    SOURCE_WIDENS,
    StepCoefficients,
    step_coefficients,
)
from flowsim.physics.losses.laws import DropCurve, drop_curve, quadratic_and_linear
from flowsim.system.parts import MeasuredDrop, OneWayValve, Part, Pipe, Screen
from flowsim.system.tags import Tag

IntArray = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True)
class Exit:
    """The end of a line in air or in a tank: the kinetic energy that is lost there.

    ``bore`` [m] of the opening.
    """

    name: str
    bore: float
    source: str = "kinetic energy of pipe flow: 1.0 turbulent, 2.0 laminar (any hydraulics text)"

    @property
    def coefficients(self) -> StepCoefficients:
        """K on the bore: that of a step into an endless one."""
        return step_coefficients(self.bore, np.inf)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A square step of bore, for flow from ``bore_from`` [m] into ``bore_to`` [m] (not equal).

    ``count`` equal ones in a row. Its law stands on the smaller ``bore`` [m].
    """

    name: str
    bore_from: float
    bore_to: float
    count: int = 1
    tag: Tag = Tag.PUBLISHED

    @property
    def bore(self) -> float:
        """The smaller of the two bores [m]."""
        return min(self.bore_from, self.bore_to)

    @property
    def widens(self) -> bool:
        """Whether the flow comes out of the smaller bore."""
        return self.bore_to > self.bore_from

    @property
    def source(self) -> str:
        """Where the coefficients are from."""
        return SOURCE_WIDENS if self.widens else SOURCE_NARROWS

    @property
    def coefficients(self) -> StepCoefficients:
        """K on the smaller bore, of all of them together."""
        one = step_coefficients(self.bore_from, self.bore_to)
        return StepCoefficients(self.count * one.turbulent, self.count * one.laminar)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPart:
    """A part at its place in a link.

    ``direction``: 0 costs both ways, +1 only flow from the link's start to its end, -1 only the
    other way. ``share`` of the part's loss sits here (a selector is split in two). Parts with the
    same ``key`` are one physical thing and share their uncertainty. The three factors are nominal
    ones that a ground test gave (1: as stated): on quadratic term, linear term and a pipe's bore.
    ``owner`` is the line that it is stated for, empty for what belongs to a node; ``is_entrance``:
    out of a tank into its outlet.
    """

    part: Part | Exit | Step
    key: str
    direction: Literal[-1, 0, 1] = 0
    share: float = 1.0
    loss_factor: float = 1.0
    laminar_factor: float = 1.0
    bore_factor: float = 1.0
    owner: str = ""
    is_entrance: bool = False

    @property
    def called(self) -> str:
        """Name for people: of several alike on one line the same."""
        return f"{self.owner}: {self.part.name}" if self.owner else self.key


def key_head(owner: str) -> str:
    """Give how the keys of all parts of a line begin; no other line's keys begin so.

    Colons of the name are doubled, so that a line "a: b" is not taken for a part of line "a".
    """
    return f"{owner.replace(':', '::')}: "


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Everything in series between nodes ``start`` and ``end`` (indices), parts in that order."""

    name: str
    start: int
    end: int
    parts: tuple[PlacedPart, ...]


@dataclass(frozen=True, eq=False)
class Network:
    """A graph of links between nodes, and the arrays of their laws.

    ``fixed`` (node,) tells which nodes have a head given from outside; all others are solved.
    ``friction`` is the nominal factor on all friction (1 unless a ground test gave another).
    Axes: ``part`` counts all parts of all links in order, ``pipe`` the pipes among them.
    """

    node_names: tuple[str, ...]
    fixed: npt.NDArray[np.bool_]
    links: tuple[Link, ...]
    friction: float = 1.0

    @cached_property
    def start(self) -> IntArray:
        """Start node of each link (link,)."""
        return np.array([link.start for link in self.links], dtype=np.intp)

    @cached_property
    def end(self) -> IntArray:
        """End node of each link (link,)."""
        return np.array([link.end for link in self.links], dtype=np.intp)

    @cached_property
    def placed(self) -> tuple[PlacedPart, ...]:
        """All placed parts, link by link."""
        return tuple(placed for link in self.links for placed in link.parts)

    @cached_property
    def part_link(self) -> IntArray:
        """Link of each part (part,)."""
        return np.array(
            [index for index, link in enumerate(self.links) for _ in link.parts], dtype=np.intp
        )

    @cached_property
    def one_way(self) -> npt.NDArray[np.bool_]:
        """Whether a link holds a one-way valve (link,)."""
        holds = [
            any(isinstance(placed.part, OneWayValve) for placed in link.parts)
            for link in self.links
        ]
        return np.array(holds, dtype=bool)

    @cached_property
    def cracking_pressure(self) -> FloatArray:
        """Pressure lost in a link's one-way valves while they flow (link,) [Pa]."""
        return np.array(
            [
                sum(p.part.cracking_pressure for p in link.parts if isinstance(p.part, OneWayValve))
                for link in self.links
            ],
            dtype=np.float64,
        )

    @cached_property
    def coefficients(self) -> "PartCoefficients":
        """Quadratic and linear coefficients of every part."""
        return _part_coefficients(self)

    @cached_property
    def pipes(self) -> "Pipes":
        """The pipes whose friction follows the friction law."""
        return _pipes(self)

    @cached_property
    def exits(self) -> "Exits":
        """The exits and the steps of bore."""
        return _exits(self)

    @cached_property
    def curves(self) -> tuple[tuple[int, DropCurve, float], ...]:
        """Measured tables: part index, curve, and head in metres per pascal of its liquid."""
        found = []
        for index, placed in enumerate(self.placed):
            if isinstance(placed.part, MeasuredDrop):
                scale = placed.share / (placed.part.density * STANDARD_GRAVITY)
                found.append((index, drop_curve(placed.part), scale))
        return tuple(found)

    @cached_property
    def typical_area(self) -> FloatArray:
        """Flow area of each link's first part (link,) [m2], where the search for flows starts."""
        areas = np.full(len(self.links), np.pi * 0.008**2 / 4)
        for index, link in enumerate(self.links):
            bores = [p.part.bore for p in link.parts if not isinstance(p.part, Screen)]
            pipes = [p.part.bore for p in link.parts if isinstance(p.part, Pipe)]
            if pipes or bores:
                areas[index] = np.pi * (pipes or bores)[0] ** 2 / 4
        return areas


@dataclass(frozen=True, slots=True, kw_only=True)
class PartCoefficients:
    """Per part (part,): h = quadratic Q|Q| + linear nu Q; zero for pipes, exits and tables.

    ``forward`` and ``backward`` tell in which direction the quadratic term acts; ``clear`` is the
    clear fraction of a screen (NaN for other parts), not yet applied.
    """

    quadratic: FloatArray
    linear: FloatArray
    forward: FloatArray
    backward: FloatArray
    clear: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Pipes:
    """Per pipe (pipe,): index of its part and link, ``length``, ``bore``, ``roughness`` [m]."""

    part: IntArray
    link: IntArray
    length: FloatArray
    bore: FloatArray
    roughness: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Exits:
    """Per exit or step of bore (exit,): index of its part and link, ``bore`` [m].

    ``sign`` of the flow that it acts on; its coefficients [-] on that bore. Those with the same
    number in ``alike`` have one law on one flow.
    """

    part: IntArray
    link: IntArray
    bore: FloatArray
    sign: FloatArray
    turbulent: FloatArray
    laminar: FloatArray
    alike: IntArray


def _part_coefficients(network: Network) -> PartCoefficients:
    count = len(network.placed)
    quadratic, linear, clear = np.zeros(count), np.zeros(count), np.full(count, np.nan)
    for index, placed in enumerate(network.placed):
        part = placed.part
        if isinstance(part, Pipe):
            if part.friction_factor is not None:
                area = np.pi * part.bore**2 / 4
                velocity_head = 1 / (2 * STANDARD_GRAVITY * area**2)
                quadratic[index] = part.friction_factor * part.length / part.bore * velocity_head
        elif not isinstance(part, Exit | Step | MeasuredDrop):
            quadratic[index], linear[index] = quadratic_and_linear(part)
        if isinstance(part, Screen):
            clear[index] = part.clear_fraction
    share = np.array([placed.share for placed in network.placed])
    direction = np.array([placed.direction for placed in network.placed])
    return PartCoefficients(
        quadratic=quadratic * share,
        linear=linear * share,
        forward=(direction >= 0).astype(float),
        backward=(direction <= 0).astype(float),
        clear=clear,
    )


def _pipes(network: Network) -> Pipes:
    found = [
        (index, placed.part)
        for index, placed in enumerate(network.placed)
        if isinstance(placed.part, Pipe) and placed.part.friction_factor is None
    ]
    part = np.array([index for index, _ in found], dtype=np.intp)
    return Pipes(
        part=part,
        link=network.part_link[part],
        length=np.array([pipe.length for _, pipe in found], dtype=np.float64),
        bore=np.array([pipe.bore for _, pipe in found], dtype=np.float64),
        roughness=np.array([pipe.roughness for _, pipe in found], dtype=np.float64),
    )


def _exits(network: Network) -> Exits:
    found = [
        (index, placed.part, placed.direction)
        for index, placed in enumerate(network.placed)
        if isinstance(placed.part, Exit | Step)
    ]
    part = np.array([index for index, _, _ in found], dtype=np.intp)
    coefficients = [item.coefficients for _, item, _ in found]
    bore = np.array([item.bore for _, item, _ in found], dtype=np.float64)
    sign = np.array([1.0 if way >= 0 else -1.0 for _, _, way in found], dtype=np.float64)
    turbulent = np.array([both.turbulent for both in coefficients], dtype=np.float64)
    laminar = np.array([both.laminar for both in coefficients], dtype=np.float64)
    link = network.part_link[part]
    # K falls from laminar to turbulent along one curve for each ratio of the two.
    table = np.column_stack([link, bore, sign, np.round(laminar / turbulent, 12)])
    _, alike = np.unique(table, axis=0, return_inverse=True)
    return Exits(
        part=part,
        link=link,
        bore=bore,
        sign=sign,
        turbulent=turbulent,
        laminar=laminar,
        alike=np.asarray(alike.reshape(-1), dtype=np.intp),
    )
