"""The parts of a line and the numbers that their loss laws need.

Every part has its own bore. Where a part's loss scales with a factor, ``band`` is the spread of
that factor (1 = the stated value); the verdict draws from it. ``tag`` says where the loss is from.
"""

from dataclasses import dataclass, field
from typing import TypeGuard

from flowsim.system.bands import Band, Exact
from flowsim.system.tags import Tag

FLOW_METER, BLOCKED_METER = "flow meter", "blocked flow meter"
"""Kinds of a flow meter as it turns, and of what it amounts to when it is blocked."""

UNKNOWN_TEE = "tee runs to branch"
"""Kind of what each line loses at a tee of unknown kind: the dearest row of a tee."""

FINE_BOWL = "fine filter bowl"
"""Kind of a bowl with a fine element."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pipe:
    """A length of tube or hose.

    ``length`` and ``bore`` [m]; ``roughness`` [m] absolute. ``friction_factor`` is a Darcy factor
    that replaces the friction law where the builder has one (None: use the law). ``material`` is
    a word for reports. ``bore_band`` is the spread of the bore.
    """

    name: str
    length: float
    bore: float
    roughness: float
    friction_factor: float | None = None
    material: str = "tube"
    bore_band: Band = field(default_factory=Exact)
    source: str = ""
    tag: Tag = Tag.NOT_SAID


@dataclass(frozen=True, slots=True, kw_only=True)
class MinorLoss:
    """A fitting: loss = (k_inf + k_laminar/Re) velocity heads at its own ``bore`` [m].

    ``count`` equal fittings in a row. Law and values: the catalogue in ``flowsim.physics``.
    ``joins`` are the bores [m] of the tube on its two sides, where that is known apart from what is
    listed beside it; a step of bore is charged on each side of each of its ``count``.
    ``bend_radius`` [m] and ``bend_angle`` [rad] are those of each formed bend, None for any other
    fitting. ``joint`` names the plain place or drain's tee whose loss it is, empty for what stands
    in a line by itself.
    """

    name: str
    kind: str
    bore: float
    k_inf: float
    k_laminar: float = 0.0
    count: int = 1
    joins: tuple[float, float] | None = None
    band: Band = field(default_factory=Exact)
    laminar_band: Band = field(default_factory=Exact)
    source: str = ""
    tag: Tag = Tag.NOT_SAID
    bend_radius: float | None = None
    bend_angle: float | None = None
    joint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowCoefficient:
    """A valve, meter or filter by its metric flow coefficient.

    ``kv`` [m3/h at 1 bar of water] as IEC 60534 defines it; ``bore`` [m] of its connection, for
    velocity and Reynolds number in reports. ``k_laminar`` [-] over Re are velocity heads on that
    bore that slow flow loses besides. ``band`` is the spread of kv itself. ``blocked`` is what a
    flow meter amounts to when it is blocked: its bypass, or what still passes through it; None
    where that is not known.
    """

    name: str
    kind: str
    bore: float
    kv: float
    k_laminar: float = 0.0
    band: Band = field(default_factory=Exact)
    source: str = ""
    tag: Tag = Tag.NOT_SAID
    blocked: "FlowCoefficient | MeasuredDrop | None" = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Orifice:
    """A sharp restriction (needle and seat, restrictor): Q = Cd A sqrt(2 dp/rho).

    ``bore`` [m], ``discharge_coefficient`` [-]; ``band`` is the spread of the latter.
    """

    name: str
    kind: str
    bore: float
    discharge_coefficient: float
    band: Band = field(default_factory=Exact)
    source: str = ""
    tag: Tag = Tag.NOT_SAID


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """A plain square woven screen.

    ``area`` [m2] of the clean screen, ``wires_per_metre`` [1/m], ``wire_diameter`` [m],
    ``clear_fraction`` (0-1] of the area that is not blocked by dirt.
    """

    name: str
    area: float
    wires_per_metre: float
    wire_diameter: float
    clear_fraction: float
    band: Band = field(default_factory=Exact)
    source: str = ""
    tag: Tag = Tag.NOT_SAID


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredDrop:
    """A measured table of pressure drop against flow (meter, filter, selector).

    ``flows`` [m3/s] and ``drops`` [Pa], both rising, without the point at zero;
    ``density`` [kg/m3] and kinematic ``viscosity`` [m2/s] of the liquid it was measured with, the
    latter None where it is not stated; one that is assumed is never a credit. ``bore`` [m] for
    reports; ``blocked`` as in FlowCoefficient.
    """

    name: str
    kind: str
    bore: float
    flows: tuple[float, ...]
    drops: tuple[float, ...]
    density: float
    viscosity: float | None = None
    viscosity_is_assumed: bool = False
    band: Band = field(default_factory=Exact)
    source: str = ""
    tag: Tag = Tag.NOT_SAID
    blocked: "FlowCoefficient | MeasuredDrop | None" = None


@dataclass(frozen=True, slots=True, kw_only=True)
class QuadraticLoss:
    """A part known by h = coefficient x Q^2, ``coefficient`` [s2/m5] in metres of the liquid.

    ``bore`` [m] of its connection, for reports.
    """

    name: str
    kind: str
    bore: float
    coefficient: float
    band: Band = field(default_factory=Exact)
    source: str = ""
    tag: Tag = Tag.NOT_SAID


@dataclass(frozen=True, slots=True, kw_only=True)
class OneWayValve:
    """A non-return valve: passes only from the line's start to its end.

    ``cracking_pressure`` [Pa] is lost while it flows; ``bore`` [m] and ``kv`` as in
    FlowCoefficient.
    """

    name: str
    bore: float
    cracking_pressure: float
    kv: float
    band: Band = field(default_factory=Exact)
    source: str = ""
    tag: Tag = Tag.NOT_SAID


Part = (
    Pipe
    | MinorLoss
    | FlowCoefficient
    | Orifice
    | Screen
    | MeasuredDrop
    | QuadraticLoss
    | OneWayValve
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Exit:
    """The end of a line in air or in a tank: the kinetic energy that is lost there.

    Put in by the network, not by the builder. ``bore`` [m] of the opening.
    """

    name: str
    bore: float
    source: str = "kinetic energy of pipe flow: 1.0 turbulent, 2.0 laminar (any hydraulics text)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A square step of bore, for flow from ``bore_from`` [m] into ``bore_to`` [m] (not equal).

    Put in by the network where two bores meet. ``count`` equal ones in a row. Its law stands on the
    smaller ``bore`` [m].
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


AnyPart = Part | Exit | Step
"""Whatever a link is made of: what the builder states, and what the network puts between."""


def is_tube(part: AnyPart) -> TypeGuard[Pipe]:
    """Tell whether a part is a length of tube or hose, and no fitting.

    Parameters
    ----------
    part : AnyPart
        Any part.

    Returns
    -------
    bool
        And for the type checker that it is a Pipe.
    """
    return isinstance(part, Pipe)


def is_table(part: AnyPart) -> TypeGuard[MeasuredDrop]:
    """Tell whether a part is known by a table of readings.

    Parameters
    ----------
    part : AnyPart
        Any part.

    Returns
    -------
    bool
        And for the type checker that it is a MeasuredDrop.
    """
    return isinstance(part, MeasuredDrop)
