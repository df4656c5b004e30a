"""Joint draws of everything that is uncertain: the one way of drawing that all studies share.

Latin hypercube (McKay, Beckman and Conover, Technometrics 21(2), 1979): each input's distribution
is cut into as many equally likely slices as there are draws, one value from the middle of each, in
an order of its own. Seeded, so that the same case gives the same answer.
"""

from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.network.conditions import Factors
from flowsim.network.elements import Exit, PlacedPart
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fitting_catalogue import COMMON_FITTING_BAND, EXIT_BAND, FRICTION_BAND
from flowsim.system.bands import Band, Exact, Lognormal, Normal, Triangular
from flowsim.system.parts import FlowCoefficient, MinorLoss, OneWayValve, Orifice, Pipe


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertain:
    """One uncertain input: ``key`` identifies it, ``name`` says it, ``measurement`` settles it."""

    key: str
    name: str
    measurement: str
    band: Band


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """Joint draws.

    ``factors`` on the laws (draw, ...); ``viscosity`` (draw,) factor; ``height`` (draw,) [m] added
    to the surfaces; ``vent`` (draw, tank) pressure coefficients; ``values`` (draw, input) the raw
    factor of each of ``inputs``.
    """

    factors: Factors
    viscosity: FloatArray
    height: FloatArray
    vent: FloatArray
    values: FloatArray
    inputs: tuple[Uncertain, ...]

    @property
    def count(self) -> int:
        """Number of draws."""
        return len(self.viscosity)


def quantile(band: Band, probability: FloatArray) -> FloatArray:
    """Value of a band's factor below which it lies with ``probability`` (0-1), any shape."""
    if isinstance(band, Exact):
        return np.ones_like(probability)
    if isinstance(band, Triangular):
        low, mode, high = band.low, band.mode, band.high
        if high <= low:
            return np.full_like(probability, mode)
        split = (mode - low) / (high - low)
        rising = low + np.sqrt(probability * (high - low) * (mode - low))
        falling = high - np.sqrt((1 - probability) * (high - low) * (high - mode))
        return np.where(probability <= split, rising, falling)
    normal = np.array([NormalDist().inv_cdf(value) for value in probability.ravel()])
    score = normal.reshape(probability.shape)
    if isinstance(band, Lognormal):
        return np.asarray(band.factor**score)
    return 1.0 + band.deviation * score


def uncertain_inputs(assembly: Assembly) -> tuple[Uncertain, ...]:
    """List every uncertain input of a system, common causes first.

    Parts that share a key are one thing; the two halves of a selector are drawn once.
    """
    system = assembly.system
    inputs = [
        Uncertain(
            key="friction",
            name="friction of tube and hose",
            measurement="time a flow through one straight length of the tube",
            band=FRICTION_BAND,
        ),
        Uncertain(
            key="fittings",
            name="all fittings together (make and burrs)",
            measurement="run the bucket test with the line as built",
            band=COMMON_FITTING_BAND,
        ),
        Uncertain(
            key="viscosity",
            name="viscosity of the fuel",
            measurement="measure the fuel's viscosity, or test at the coldest fuel",
            band=system.fuel.viscosity_band,
        ),
        Uncertain(
            key="height",
            name="height from fuel surface to the line's end",
            measurement="measure the height again, with a water level",
            band=Normal(1.0),
        ),
    ]
    seen: set[str] = set()
    for placed in assembly.network.placed:
        band = part_band(placed)
        if placed.key in seen or isinstance(band, Exact):
            continue
        seen.add(placed.key)
        inputs.append(
            Uncertain(key=placed.key, name=_name(placed), measurement=_measure(placed), band=band)
        )
    for group in dict.fromkeys(tank.vent.group for tank in system.tanks):
        inputs.append(
            Uncertain(
                key=f"vent {group}",
                name=f"pressure at the vent ({group})",
                measurement="measure the tank's air pressure in flight against static pressure",
                band=Exact(),
            )
        )
    return tuple(inputs)


def part_band(placed: PlacedPart) -> Band:
    """Band of a placed part's main factor."""
    part = placed.part
    if isinstance(part, Exit):
        return EXIT_BAND
    return part.bore_band if isinstance(part, Pipe) else part.band


def draw(assembly: Assembly, count: int, seed: int) -> Draws:
    """Draw ``count`` joint realisations of everything uncertain.

    Parameters
    ----------
    assembly : Assembly
    count : int
        Number of draws (at least 2).
    seed : int

    Returns
    -------
    Draws
    """
    inputs = uncertain_inputs(assembly)
    generator = np.random.default_rng(seed)
    middles = (np.arange(count) + 0.5) / count
    probability = {item.key: generator.permutation(middles) for item in inputs}
    normal = quantile(Normal(1.0), middles) - 1.0
    tables: dict[Band, FloatArray] = {}

    def value(key: str, band: Band) -> FloatArray:
        if band not in tables:
            tables[band] = _from_scores(band, middles, normal)
        rank = (probability[key] * count).astype(np.intp)
        return tables[band][rank]

    factors = _part_factors(assembly, count, value)
    height = (value("height", Normal(1.0)) - 1.0) * assembly.system.height_deviation
    viscosity = value("viscosity", assembly.system.fuel.viscosity_band)
    vent = _vents(assembly, probability)
    raw = np.column_stack([probability[item.key] for item in inputs])
    return Draws(
        factors=factors, viscosity=viscosity, height=height, vent=vent, values=raw, inputs=inputs
    )


def _from_scores(band: Band, middles: FloatArray, normal: FloatArray) -> FloatArray:
    """Quantiles at the slices' middles, the normal scores already worked out."""
    if isinstance(band, Lognormal):
        return np.asarray(band.factor**normal)
    if isinstance(band, Normal):
        return 1.0 + band.deviation * normal
    return quantile(band, middles)


def _part_factors(
    assembly: Assembly, count: int, value: Callable[[str, Band], FloatArray]
) -> Factors:
    network = assembly.network
    loss = np.ones((count, len(network.placed)))
    laminar = np.ones((count, len(network.placed)))
    bore = np.ones((count, len(network.pipes.part)))
    friction = value("friction", FRICTION_BAND)
    common = value("fittings", COMMON_FITTING_BAND)
    column_of = {int(part): column for column, part in enumerate(network.pipes.part)}
    for index, placed in enumerate(network.placed):
        part, band = placed.part, part_band(placed)
        factor = np.ones(count) if isinstance(band, Exact) else value(placed.key, band)
        if isinstance(part, Pipe):
            if index in column_of:
                bore[:, column_of[index]] = factor
            else:
                loss[:, index] = friction / factor**5
        elif isinstance(part, FlowCoefficient | Orifice | OneWayValve):
            loss[:, index] = laminar[:, index] = factor**-2.0
        elif isinstance(part, MinorLoss):
            loss[:, index] = factor * common
            second = part.laminar_band
            laminar[:, index] = 1.0 if isinstance(second, Exact) else value(placed.key, second)
        else:
            loss[:, index] = laminar[:, index] = factor
    return Factors(loss=loss, laminar=laminar, bore=bore, friction=friction)


def _vents(assembly: Assembly, probability: dict[str, FloatArray]) -> FloatArray:
    """Pressure coefficients (draw, tank), even between the limits; one draw per airspace."""
    columns = []
    for tank in assembly.system.tanks:
        vent = tank.vent
        share = probability[f"vent {vent.group}"]
        columns.append(
            vent.coefficient_low + share * (vent.coefficient_high - vent.coefficient_low)
        )
    return np.column_stack(columns)


def _name(placed: PlacedPart) -> str:
    if isinstance(placed.part, Pipe):
        return f"bore of {placed.part.name}"
    return f"loss of {placed.key.split(' #')[0]}"


def _measure(placed: PlacedPart) -> str:
    if isinstance(placed.part, Pipe):
        return f"measure the bore of {placed.part.name} (pin gauge, or weigh a filled length)"
    return f"measure the pressure drop of {placed.part.name} on the bench at the required flow"
