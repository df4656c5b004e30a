"""Times of the runs by the expected friction law, to set beside those of the cautious one."""

import numpy as np

from flowsim.network.conditions import Factors, nominal_factors
from flowsim.network.outcome import part_losses
from flowsim.physics.arrays import FloatArray
from flowsim.physics.losses import friction
from flowsim.studies.delivery.deliver import deliver
from flowsim.studies.ground_test.predict import RunModel

ROUNDS = 6
"""Each round sets the factor by the flows of the round before; they settle within four."""


def expected_law_seconds(model: RunModel) -> FloatArray:
    """Give the time of each run (run,) [s] by the expected law, in the middle of all bands.

    The ratio of both laws, weighted by what each pipe loses, is put on all friction of a run and
    the flows are solved again until they agree. Pipes of one run that lie in different regimes
    share that mean: exact for one regime, close for several.
    """
    network = model.assembly.network
    base = nominal_factors(network)
    count = len(model.situation.elevation)
    ratio = np.ones(count)
    found = deliver(model.assembly, model.situation)
    for _ in range(ROUNDS):
        ratio = _ratio(model, found.solution.flow, base)
        factors = Factors(
            loss=base.loss, laminar=base.laminar, bore=base.bore, friction=base.friction * ratio
        )
        found = deliver(model.assembly, model.situation, factors)
    flow = found.deliverable.reshape(len(model.distinct), model.points)
    with np.errstate(divide="ignore"):
        seconds = model.volume * ((1.0 / flow) @ model.weights)
    times: FloatArray = seconds[model.which]
    return times


def _ratio(model: RunModel, flow: FloatArray, base: Factors) -> FloatArray:
    """Give expected over cautious friction of each scenario, weighted by the pipes' losses."""
    network, conditions = model.assembly.network, model.situation.conditions
    pipes = network.pipes
    if not len(pipes.part):
        return np.ones(len(flow))
    losses = np.abs(part_losses(network, conditions, flow).loss[:, pipes.part])
    bore = pipes.bore * base.bore
    speed = np.abs(flow[:, network.part_link[pipes.part]]) / (np.pi * bore**2 / 4)
    reynolds = speed * bore / conditions.kinematic_viscosity[:, None]
    rough = np.broadcast_to(pipes.roughness / bore, reynolds.shape)
    cautious, _ = friction.cautious(reynolds, rough)
    expected, _ = friction.expected(reynolds, rough)
    total = losses.sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (losses * expected / cautious).sum(axis=1) / total
    ratio: FloatArray = np.where(np.isfinite(mean), mean, 1.0)
    return ratio
