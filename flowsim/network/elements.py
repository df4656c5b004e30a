"""Links and their parts, turned into arrays that the solver can evaluate at once.

A link is everything in series between two nodes: one law h(Q), strictly increasing. Its parts keep
their identity, so that a result can say what each of them costs.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import numpy.typing as npt

from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.physics.losses.law_shape import LawForm, Ready
from flowsim.physics.losses.laws import loss_law
from flowsim.system.parts import AnyPart, is_tube


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPart:
    """A part at its place in a link.

    ``direction``: 0 costs both ways, +1 only flow from the link's start to its end, -1 only the
    other way. ``share`` [-] of the part's loss sits here (a selector is split in two). Parts with
    the same ``key`` are one physical thing and share their uncertainty. Nominal factors [-] that a
    ground test gave (1: as stated) are ``loss_factor`` on the quadratic term, ``laminar_factor`` on
    the linear one and ``bore_factor`` on a pipe's bore.
    ``owner`` is the line that it is stated for, empty for what belongs to a node; ``is_entrance``:
    out of a tank into its outlet.
    """

    part: AnyPart
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

    Parameters
    ----------
    owner : str
        Name of a line.

    Returns
    -------
    str
        To be followed by a part's name.
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
    ``friction`` [-] is the nominal factor on all friction (1 unless a ground test gave another).
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
            any(loss_law(placed.part).is_one_way for placed in link.parts) for link in self.links
        ]
        return np.array(holds, dtype=bool)

    @cached_property
    def cracking_pressure(self) -> FloatArray:
        """Pressure lost in a link's one-way valves while they flow (link,) [Pa]."""
        return np.array(
            [
                sum(loss_law(p.part).cracking_pressure(p.part) for p in link.parts)
                for link in self.links
            ],
            dtype=np.float64,
        )

    @cached_property
    def has_screens(self) -> bool:
        """Whether any part is a screen, which may be dirtier than stated."""
        return bool((~np.isnan(self.coefficients.clear)).any())

    @cached_property
    def cracks(self) -> npt.NDArray[np.bool_]:
        """Whether a part takes a pressure of its own while it flows (part,)."""
        pressure = [loss_law(placed.part).cracking_pressure(placed.part) for placed in self.placed]
        found: npt.NDArray[np.bool_] = np.array(pressure, dtype=np.float64) != 0.0
        return found

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
    def singles(self) -> tuple[tuple[int, Ready], ...]:
        """Parts whose law the solver asks one by one (measured tables): index and law."""
        found = []
        for index in self.of_form(LawForm.BY_ITSELF):
            placed = self.placed[index]
            found.append((index, loss_law(placed.part).ready(placed.part, placed.share)))
        return tuple(found)

    @cached_property
    def ranged(self) -> IntArray:
        """Parts of two coefficients whose law has a range: index of each (ranged,)."""
        found = [
            index
            for index in self.of_form(LawForm.COEFFICIENTS)
            if loss_law(self.placed[index].part).range(self.placed[index].part) is not None
        ]
        return np.array(found, dtype=np.intp)

    def of_form(self, form: LawForm) -> list[int]:
        """Give the indices of the parts whose law has a form."""
        return [
            index
            for index, placed in enumerate(self.placed)
            if loss_law(placed.part).form(placed.part) is form
        ]

    @cached_property
    def typical_area(self) -> FloatArray:
        """Flow area of each link's first part (link,) [m2], where the search for flows starts."""
        areas = np.full(len(self.links), np.pi * 0.008**2 / 4)
        for index, link in enumerate(self.links):
            bores = [loss_law(p.part).bore(p.part) for p in link.parts]
            pipes = [p.part.bore for p in link.parts if is_tube(p.part)]
            known = [*pipes, *(bore for bore in bores if not np.isnan(bore))]
            if known:
                areas[index] = np.pi * known[0] ** 2 / 4
        return areas


@dataclass(frozen=True, slots=True, kw_only=True)
class PartCoefficients:
    """Per part (part,): ``quadratic`` [s2/m5] and ``linear`` [s2/m4]; zero without that form.

    h = quadratic Q|Q| + linear nu Q. ``forward`` and ``backward`` tell in which direction the
    quadratic term acts; ``clear`` is the clear fraction [-] of a screen (NaN for other parts), not
    yet applied.
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

    ``sign`` of the flow that it acts on; ``turbulent`` and ``laminar`` coefficients [-] on that
    bore. Those with the same number in ``alike`` have one law on one flow.
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
    quadratic, linear = np.zeros(count), np.zeros(count)
    for index in network.of_form(LawForm.COEFFICIENTS):
        part = network.placed[index].part
        quadratic[index], linear[index] = loss_law(part).coefficients(part)
    clear = np.array([loss_law(placed.part).clear(placed.part) for placed in network.placed])
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
    part = np.array(network.of_form(LawForm.FRICTION), dtype=np.intp)
    pipes = [p for index in part if is_tube(p := network.placed[index].part)]
    return Pipes(
        part=part,
        link=network.part_link[part],
        length=np.array([pipe.length for pipe in pipes], dtype=np.float64),
        bore=np.array([pipe.bore for pipe in pipes], dtype=np.float64),
        roughness=np.array([pipe.roughness for pipe in pipes], dtype=np.float64),
    )


def _exits(network: Network) -> Exits:
    part = np.array(network.of_form(LawForm.KINETIC), dtype=np.intp)
    found = [network.placed[index] for index in part]
    both = [loss_law(placed.part).both(placed.part) for placed in found]
    bore = np.array([loss_law(placed.part).bore(placed.part) for placed in found], dtype=float)
    sign = np.array([1.0 if placed.direction >= 0 else -1.0 for placed in found], dtype=float)
    turbulent = np.array([one.turbulent for one in both], dtype=np.float64)
    laminar = np.array([one.laminar for one in both], dtype=np.float64)
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
