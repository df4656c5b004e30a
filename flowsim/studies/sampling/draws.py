"""Joint draws of everything that is uncertain: the one way of drawing that all studies share.

Latin hypercube (McKay, Beckman and Conover, Technometrics 21(2), 1979): each input's distribution
is cut into as many equally likely slices as there are draws, one value from the middle of each, in
an order of its own. Seeded, so that the same case gives the same answer.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from zlib import crc32

import numpy as np
import numpy.typing as npt

from flowsim.errors import DomainError
from flowsim.network.assembly import Assembly
from flowsim.network.conditions import Factors, nominal_factors
from flowsim.physics.arrays import FloatArray
from flowsim.physics.losses.fitting_catalogue import COMMON_FITTING_BAND, FRICTION_BAND
from flowsim.physics.losses.law_shape import BandActs
from flowsim.physics.losses.laws import loss_law
from flowsim.studies.sampling.causes import (
    Uncertain,
    at_score,
    cause_of,
    quantile,
    uncertain_inputs,
)
from flowsim.studies.sampling.scores import after_test
from flowsim.system.bands import Band, Exact, Normal, Triangular

MOST_VENT_CREDIT = 0.0
"""[-] No pressure coefficient above this is counted on, whatever the vent's band is."""

SEED = 20240229
"""Any fixed number: the same case gives the same answer."""
BATCH = 2048
"""Draws made and solved together: as many as a check makes, and small enough for the cache."""

DRAWN = 256
"""[-] So many of a check's draws, the first, serve where one costs as much as many flows. One
standard error of the 95th percentile is then 1.4 per cent of the draws. Tag: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """Joint draws.

    ``factors`` on the laws (draw, ...); ``viscosity`` (draw,) factor; ``height`` (draw,) [m] added
    to the surfaces; ``vent`` (draw, tank) pressure coefficients; ``values`` (draw, input) the raw
    factor of each of ``inputs``. Viscosity and height are relative to the nominal ones, which a
    ground test may have changed.
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

    def take(self, draws: npt.NDArray[np.intp]) -> "Draws":
        """Give some of the draws."""
        return replace(
            self,
            factors=self.factors.take(draws),
            viscosity=self.viscosity[draws],
            height=self.height[draws],
            vent=self.vent[draws],
            values=self.values[draws],
        )


def draw(assembly: Assembly, count: int, seed: int | list[int]) -> Draws:
    """Draw ``count`` joint realisations of everything uncertain.

    Parameters
    ----------
    assembly : Assembly
    count : int
        Number of draws (at least 2).
    seed : int or list of int

    Returns
    -------
    Draws
    """
    inputs = uncertain_inputs(assembly)
    ranks = {item.key: _order(count, seed, item.stream) for item in inputs}
    middles = (np.arange(count) + 0.5) / count
    normal = _scores_of_middles(count)
    tables: dict[Band, FloatArray] = {}

    def value(key: str, band: Band) -> FloatArray:
        if band not in tables:
            tables[band] = _from_scores(band, middles, normal)
        return tables[band][ranks[key]]

    raw = np.column_stack([middles[ranks[item.key]] for item in inputs])
    return _draws(assembly, inputs, raw, value)


def _order(count: int, seed: int | list[int], stream: str) -> npt.NDArray[np.intp]:
    """Give the order in which an input's slices are drawn.

    It hangs on the input alone: a part more or less, or another order of the parts, leaves all
    others' draws as they are, so that two systems differ by what differs.
    """
    seeds = seed if isinstance(seed, list) else [seed]
    return np.random.default_rng([*seeds, crc32(stream.encode())]).permutation(count)


def draws_from(assembly: Assembly, probability: FloatArray) -> Draws:
    """Make draws of stated probabilities, so that any sampling plan runs through the same code.

    Parameters
    ----------
    assembly : Assembly
    probability : FloatArray (draw, input)
        Share of its distribution below which each input lies, above 0 and below 1, in the order of
        ``uncertain_inputs``. 0.5 puts an input at its median.

    Returns
    -------
    Draws

    Raises
    ------
    DomainError
        When the shape does not fit or a probability is not inside 0 to 1.
    """
    inputs = uncertain_inputs(assembly)
    raw = np.asarray(probability, dtype=np.float64)
    if raw.ndim != 2 or raw.shape[1] != len(inputs):
        raise DomainError(f"probabilities of shape {raw.shape} do not fit {len(inputs)} inputs")
    if not ((raw > 0.0) & (raw < 1.0)).all():
        raise DomainError("probabilities must lie above 0 and below 1")
    column = {item.key: index for index, item in enumerate(inputs)}

    def value(key: str, band: Band) -> FloatArray:
        return quantile(band, raw[:, column[key]])

    return _draws(assembly, inputs, raw, value)


def nominal_draws(assembly: Assembly, count: int) -> Draws:
    """Make ``count`` draws in which everything is as stated, to be varied by the caller."""
    stated = [tank.vent.pressure_coefficient for tank in assembly.system.tanks]
    factors = nominal_factors(assembly.network)
    inputs = uncertain_inputs(assembly)
    return Draws(
        factors=Factors(
            loss=np.tile(factors.loss, (count, 1)),
            laminar=np.tile(factors.laminar, (count, 1)),
            bore=np.tile(factors.bore, (count, 1)),
            friction=np.tile(factors.friction, count),
        ),
        viscosity=np.ones(count),
        height=np.zeros(count),
        vent=np.tile(np.array(stated, dtype=np.float64), (count, 1)),
        values=np.full((count, len(inputs)), np.nan),
        inputs=inputs,
    )


def batches(assembly: Assembly, count: int, seed: int, size: int = BATCH) -> Iterator[Draws]:
    """Draw ``count`` realisations a batch at a time, so that memory stays bounded.

    Each batch is a Latin hypercube of its own. The first is what ``draw`` gives for the same seed,
    so a long study begins with the draws of a quick one.

    Parameters
    ----------
    assembly : Assembly
    count : int
        Number of draws (at least 2).
    seed : int
    size : int
        Draws in a batch.

    Yields
    ------
    Draws
    """
    done = 0
    while done < count:
        left = count - done
        some = left if left <= size + 1 else size  # a single draw is no hypercube
        yield draw(assembly, some, seed if done == 0 else [seed, done])
        done += some


def _draws(
    assembly: Assembly,
    inputs: tuple[Uncertain, ...],
    raw: FloatArray,
    value: Callable[[str, Band], FloatArray],
) -> Draws:
    """Put drawn inputs where they act."""
    shares = {item.key: raw[:, index] for index, item in enumerate(inputs)}
    viscosity, height = 1.0, 0.0
    calibration = assembly.system.calibration
    if calibration is not None:
        shares = after_test(calibration, shares)
        viscosity, height = calibration.viscosity, calibration.height

        def value(key: str, band: Band) -> FloatArray:
            return quantile(band, shares[key])

    return Draws(
        factors=_part_factors(assembly, len(raw), value),
        viscosity=value("viscosity", assembly.system.fuel.viscosity_band) / viscosity,
        height=(value("height", Normal(1.0)) - 1.0) * assembly.system.height_deviation - height,
        vent=_vents(assembly, shares),
        values=raw,
        inputs=inputs,
    )


@lru_cache(maxsize=4)
def _scores_of_middles(count: int) -> FloatArray:
    """Give the normal scores of the slices' middles; a study asks for the same many times."""
    scores: FloatArray = quantile(Normal(1.0), (np.arange(count) + 0.5) / count) - 1.0
    scores.flags.writeable = False
    return scores


def _from_scores(band: Band, middles: FloatArray, normal: FloatArray) -> FloatArray:
    """Quantiles at the slices' middles, the normal scores already worked out."""
    if isinstance(band, Exact | Triangular):
        return quantile(band, middles)
    return at_score(band, normal)


def _part_factors(
    assembly: Assembly, count: int, value: Callable[[str, Band], FloatArray]
) -> Factors:
    network = assembly.network
    # A part's factors lie side by side in memory: they are taken part by part.
    loss = np.ones((count, len(network.placed)), order="F")
    laminar = np.ones((count, len(network.placed)), order="F")
    bore = np.ones((count, len(network.pipes.part)), order="F")
    friction = value("friction", FRICTION_BAND)
    common = value("fittings", COMMON_FITTING_BAND)
    drawn: dict[tuple[str, Band], FloatArray] = {}

    def factor_of(cause: str, band: Band) -> FloatArray:
        if (cause, band) not in drawn:
            exact = isinstance(band, Exact)
            drawn[cause, band] = np.ones(count) if exact else value(cause, band)
        return drawn[cause, band]

    column_of = {int(part): column for column, part in enumerate(network.pipes.part)}
    for index, placed in enumerate(network.placed):
        part, cause = placed.part, cause_of(placed)
        law = loss_law(part)
        factor = factor_of(cause, law.band(part))
        if law.acts is BandActs.BORE:
            if index in column_of:
                bore[:, column_of[index]] = factor
            else:
                loss[:, index] = friction / factor**5
            continue
        if law.acts is BandActs.COEFFICIENT:
            factor = factor**-2.0
        loss[:, index] = laminar[:, index] = factor * common if law.has_make else factor
        apart = law.laminar_band(part)
        if apart is not None:
            laminar[:, index] = factor_of(cause, apart)
    return Factors(loss=loss, laminar=laminar, bore=bore, friction=friction)


def _vents(assembly: Assembly, probability: dict[str, FloatArray]) -> FloatArray:
    """Pressure coefficients (draw, tank), even between the limits; one draw per airspace.

    What the vent is and what is counted on are two things: a forward vent may ram, but no credit
    is given for that.
    """
    columns = []
    for tank in assembly.system.tanks:
        vent = tank.vent
        share = probability[f"vent {vent.group}"]
        drawn = vent.coefficient_low + share * (vent.coefficient_high - vent.coefficient_low)
        columns.append(np.minimum(drawn, MOST_VENT_CREDIT))
    return np.column_stack(columns)
