"""Worked examples written as networks, solved by flowsim's own solver.

A case names nodes with a given head, demands, and links with their parts in order; an answer names
what to read off the solution. A source's own gravity is honoured by scaling heads: h = K V^2/2g, so
a head of H metres under the source's g is H g/g0 metres under the g0 of the solver.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import Conditions
from flowsim.network.elements import Link, Network, PlacedPart
from flowsim.network.outcome import part_losses
from flowsim.network.solver import Solution, solve
from flowsim.physics.losses.laws import head_loss
from flowsim.physics.losses.round_bore import reynolds, velocity
from flowsim.system.parts import Exit, MinorLoss, Orifice, Part, Pipe, QuadraticLoss
from tests.support.published_units import si

Table = Mapping[str, Any]


@dataclass(frozen=True, eq=False)
class SolvedCase:
    """A case, its network, and the one scenario solved."""

    case: Table

    @cached_property
    def gravity(self) -> float:
        return si(self.case.get("gravity", STANDARD_GRAVITY))

    @cached_property
    def scale(self) -> float:
        """Head of the solver over head of the source."""
        return self.gravity / STANDARD_GRAVITY

    @cached_property
    def density(self) -> float:
        if "specific_weight" in self.case:
            return si(self.case["specific_weight"]) / self.gravity
        return si(self.case.get("density", "1000 kg/m3"))

    @cached_property
    def viscosity(self) -> float:
        """Kinematic viscosity; where a source fixes every coefficient it has no influence."""
        if "dynamic_viscosity" in self.case:
            return si(self.case["dynamic_viscosity"]) / self.density
        return si(self.case.get("kinematic_viscosity", "1e-6 m2/s"))

    @cached_property
    def node_names(self) -> tuple[str, ...]:
        names = dict.fromkeys(self.case.get("heads", {}))
        for link in self.case["link"]:
            names |= dict.fromkeys((link["from"], link["to"]))
        return tuple(names)

    @cached_property
    def network(self) -> Network:
        fixed = np.array([name in self.case.get("heads", {}) for name in self.node_names])
        links = tuple(
            Link(
                name=link["name"],
                start=self.node_names.index(link["from"]),
                end=self.node_names.index(link["to"]),
                parts=tuple(
                    PlacedPart(part=self.part(part), key=f"{link['name']} {index}")
                    for index, part in enumerate(link["parts"])
                ),
            )
            for link in self.case["link"]
        )
        return Network(self.node_names, fixed, links)

    def part(self, part: Table) -> Part | Exit:
        """Make a part of a link from its table."""
        bore = si(part.get("bore", "8 mm"))
        if "pipe" in part:
            factor = part.get("friction_factor", 4 * part["fanning"] if "fanning" in part else None)
            roughness = si(part.get("roughness", "0 m"))
            return Pipe(
                name="pipe", length=si(part["pipe"]), bore=bore, roughness=roughness,
                friction_factor=factor,
            )  # fmt: skip
        if "k" in part:
            k = sum(part["k"]) if isinstance(part["k"], list) else part["k"]
            return MinorLoss(name="fittings", kind="stated", bore=bore, k_inf=k)
        if "orifice" in part:
            return Orifice(
                name="orifice", kind="orifice", bore=bore, discharge_coefficient=part["orifice"]
            )
        if "exit" in part:
            return Exit(name="exit", bore=bore)
        if "pressure_coefficient" in part:
            head = si(part["pressure_coefficient"]) / (self.density * STANDARD_GRAVITY)
        else:
            head = si(part["coefficient"]) * self.scale
        return QuadraticLoss(name="stated", kind="stated", bore=bore, coefficient=head)

    @cached_property
    def conditions(self) -> Conditions:
        nodes, links = len(self.node_names), len(self.network.links)
        head, demand = np.full((1, nodes), np.nan), np.zeros((1, nodes))
        for name, value in self.case.get("heads", {}).items():
            head[0, self.node_names.index(name)] = self.scale * self.given_head(value)
        for name, value in self.case.get("demands", {}).items():
            demand[0, self.node_names.index(name)] = si(value)
        return Conditions(
            fixed_head=head,
            demand=demand,
            allowed=np.full((1, links), 3, dtype=np.int8),
            kinematic_viscosity=np.array([self.viscosity]),
            density=np.array([self.density]),
            held_head=np.zeros((1, links)),
            screen_clear=np.full(1, np.nan),
        )

    def given_head(self, value: str | Table) -> float:
        """Give a head [m under the source's gravity]: stated, or elevation and pressure."""
        if isinstance(value, str):
            return si(value)
        pressure = si(value.get("pressure", "0 Pa")) / (self.density * self.gravity)
        return si(value.get("elevation", "0 m")) + pressure

    @cached_property
    def solution(self) -> Solution:
        return solve(self.network, self.conditions)

    @cached_property
    def misfit(self) -> float:
        """Largest difference [m] between the losses of a link's parts and the head across it."""
        losses = part_losses(self.network, self.conditions, self.solution.flow).loss[0]
        total = np.zeros(len(self.network.links))
        np.add.at(total, self.network.part_link, losses)
        head = self.solution.head[0]
        across = head[self.network.start] - head[self.network.end]
        return float(np.abs(total - across).max())

    def link(self, name: str) -> int:
        return [link.name for link in self.network.links].index(name)

    def flow(self, name: str) -> float:
        return float(self.solution.flow[0, self.link(name)])

    def head(self, node: str) -> float:
        """Head [m] under the source's gravity."""
        return float(self.solution.head[0, self.node_names.index(node)]) / self.scale


def read_answer(solved: SolvedCase, answer: Table) -> float:
    """Give what ``answer`` asks for [SI]."""
    of = answer["of"]
    if of == "loop correction":
        return _loop_correction(solved, answer)
    if of in ("head", "head loss", "pressure", "pressure drop"):
        return _head_or_pressure(solved, answer)
    flow = sum(solved.flow(name) for name in _names(answer["link"]))
    if of == "flow":
        return flow
    if of == "size of flow":
        return abs(flow)
    if of == "time":
        return si(answer["volume"]) / flow
    bore = si(answer["bore"])
    if of == "velocity":
        return float(velocity(flow, bore))
    if of == "Reynolds number":
        return float(reynolds(flow, bore, solved.viscosity))
    raise KeyError(of)


def _names(link: str | list[str]) -> list[str]:
    return [link] if isinstance(link, str) else link


def _head_or_pressure(solved: SolvedCase, answer: Table) -> float:
    weight = solved.density * solved.gravity
    if answer["of"] in ("head loss", "pressure drop"):
        link = next(link for link in solved.case["link"] if link["name"] == answer["link"])
        loss = solved.head(link["from"]) - solved.head(link["to"])
        return loss if answer["of"] == "head loss" else weight * loss
    head = solved.head(answer["node"])
    if answer["of"] == "head":
        return head
    head -= si(answer.get("elevation", "0 m"))
    if "bore" in answer:  # static pressure: without the velocity head of the pipe it is read in
        speed = float(velocity(solved.flow(answer["link"]), si(answer["bore"])))
        head -= speed**2 / (2 * solved.gravity)
    return weight * head + si(answer.get("atmosphere", "0 Pa"))


def _loop_correction(solved: SolvedCase, answer: Table) -> float:
    """First correction of Hardy Cross's method, -sum h/sum |dh/dQ|, with the parts' own laws."""
    misfit = slope = 0.0
    for name, flow in answer["loop"].items():
        for placed in solved.network.links[solved.link(name)].parts:
            assert not isinstance(placed.part, Exit)
            loss, steepness = head_loss(placed.part, flow, solved.viscosity)
            misfit, slope = misfit + float(loss), slope + float(steepness)
    assert not math.isclose(slope, 0.0)
    return -misfit / slope
