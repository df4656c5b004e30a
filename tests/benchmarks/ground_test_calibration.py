"""Whether the bands that the ground-test fit states hold the truth as often as they say.

    python -m tests.benchmarks.ground_test_calibration                200 trials, and the picture
    python -m tests.benchmarks.ground_test_calibration --trials 20    a look
    python -m tests.benchmarks.ground_test_calibration --drain-down   three drain-downs, no buckets

Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari and Gelman, arXiv:1804.06788,
2018; from memory): draw a truth from the bands, draw readings from it with their stated errors,
fit, and note where the truth lies in the posterior. Over many trials the place must be even from 0
to 1. Set-up errors are put into the settings themselves (a wrong pitch, a wrong quantity), not into
the linear terms that the fit uses. Two answers are looked at: the least open-line flow over the
required one, which no run measures directly, and the least flow at the carburettor.
"""

import argparse
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt

from flowsim.files.case.reader import read_case
from flowsim.network.assembly import assemble
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE
from flowsim.studies.ground_test.fit import fit, set_up_errors
from flowsim.studies.ground_test.predict import RunModel, run_model
from flowsim.studies.ground_test.reading_errors import errors_of
from flowsim.studies.ground_test.runs import (
    END_HEIGHT,
    MARK_VOLUME,
    PITCH,
    PRESS,
    QUANTITY,
    STRETCH,
    Reading,
    Setting,
)
from flowsim.studies.joint.study import joint_ratios
from flowsim.studies.judged.sweep import Sweep, sweep
from flowsim.studies.sampling.calibration import calibrated, inputs_on_ground, with_scores
from flowsim.studies.sampling.causes import uncertain_inputs
from flowsim.studies.sampling.draws import Draws, draw, draws_from
from flowsim.studies.sampling.scores import learned_of
from flowsim.system.fuel_system import FuelSystem

ROOT = Path(__file__).parents[2]
CASE = ROOT / "cases" / "four-outlets" / "case.toml"
PICTURE = ROOT / "docs" / "pictures" / "ground-test-calibration.svg"
FloatArray = npt.NDArray[np.float64]
CONTAINER, TIMING = 0.01, 0.5
REPEATS, DRAWS = 3, 600
SEED = 7


@dataclass(frozen=True)
class Trials:
    """``place`` (trial, answer) of the truth among posterior draws, 0 to 1; ``width`` (trial,
    answer) of the posterior's 90 % band over the prior's."""

    names: tuple[str, ...]
    place: FloatArray
    width: FloatArray

    def held(self, share: float = 0.9) -> FloatArray:
        """Share of trials whose central band of ``share`` holds the truth, for each answer."""
        edge = (1.0 - share) / 2.0
        return ((self.place >= edge) & (self.place <= 1.0 - edge)).mean(axis=0)


def settings() -> tuple[Setting, ...]:
    """The runs of the invented test: three attitudes, three positions, a raised line end."""
    made = []
    for position, degrees, end in (
        ("left", 17.0, 0.0), ("right", 17.0, 0.0), ("both", 17.0, 0.0),
        ("left", 0.0, 0.0), ("left", 0.0, 0.4),
    ):  # fmt: skip
        made += [
            Setting(
                position=position,
                pitch=float(np.radians(degrees)),
                end_height=end,
                quantities=(6e-3, 6e-3),
                volume=3e-3,
                temperature=288.15,
            )
        ] * REPEATS
    return tuple(made)


def stretches() -> tuple[Setting, ...]:
    """Three drain-downs, each read at eight marks: from either tank, and from both."""
    return tuple(
        Setting(
            position=position,
            pitch=float(np.radians(17.0)),
            end_height=0.0,
            quantities=(9e-3, 9e-3),
            volume=step,
            temperature=288.15,
            drawn_before=number * step,
        )
        for position, step in (("left", 1e-3), ("right", 1e-3), ("both", 1.5e-3))
        for number in range(8)
    )


def trials(count: int, seed: int = SEED, *, drain_down: bool = False) -> Trials:
    """Run the trials, with buckets or with three drain-downs."""
    swept = sweep(read_case(CASE))
    rows = answers(swept)
    generator = np.random.default_rng(seed)
    model = run_model(swept.assembly, stretches() if drain_down else settings())
    runs = len(model.settings)
    size = TIMING / model.seconds()[0]
    if drain_down:
        errors = errors_of(model, drained(model))
    else:
        errors = set_up_errors(model, ("jug",) * runs, np.full(runs, CONTAINER), size)
    prior = spread_of(joint_ratios(swept, rows, draw(swept.assembly, 2048, 1)).full)
    place, width = [], []
    for number in range(count):
        truth = generator.standard_normal(len(keys_of(swept)))
        read = drain_readings if drain_down else readings
        observed = read(swept, truth, generator)
        answer = ratio(swept, rows, truth, np.random.default_rng([seed, number]))
        found = fit(model, observed, errors)
        learned, directions = learned_of(found.covariance)
        system = calibrated(
            swept.assembly.system,
            found.keys,
            found.scores,
            learned,
            directions,
            "trial",
            found.centre,
        )
        draws = draw(assemble(system), DRAWS, number)
        after = joint_ratios(
            replace(swept, assembly=assemble(system)), rows, shifted(draws, system)
        )
        place.append((after.full < answer).mean(axis=0))
        width.append(spread_of(after.full) / prior)
    return Trials(("open line", "at the carburettor"), np.array(place), np.array(width))


def shifted(draws: Draws, system: FuelSystem) -> Draws:
    """Make draws relative to the sweep of the case as it was before the test."""
    calibration = system.calibration
    return replace(
        draws,
        height=draws.height + calibration.height,
        viscosity=draws.viscosity * calibration.viscosity,
    )


def keys_of(swept: Sweep) -> tuple[str, ...]:
    """Keys of what a test on the ground can say anything about."""
    return tuple(item.key for item in inputs_on_ground(swept.assembly))


def answers(swept: Sweep) -> npt.NDArray[np.intp]:
    """The least judged climb scenario at each end."""
    judged = swept.judged_rows
    climb = judged[swept.table.purpose[judged] == "climb"]
    rows = []
    for end in (OPEN_LINE, CARBURETTOR):
        mine = climb[swept.table.scenarios.end[climb] == end]
        rows.append(mine[np.argmin(swept.ratio[mine])])
    return np.array(rows, dtype=np.intp)


def ratio(
    swept: Sweep,
    rows: npt.NDArray[np.intp],
    truth: FloatArray,
    generator: np.random.Generator,
) -> FloatArray:
    """True flow over required (row,): what no ground test shows (vents in flight) is drawn too."""
    keys = keys_of(swept)
    shares = with_scores(swept.assembly, keys, truth[None, :])
    unseen = [item.key not in keys for item in uncertain_inputs(swept.assembly)]
    shares[:, unseen] = generator.uniform(size=(1, sum(unseen)))
    return joint_ratios(swept, rows, draws_from(swept.assembly, shares)).full[0]


def spread_of(values: FloatArray) -> FloatArray:
    """Width of the 5 to 95 % band of each column."""
    low, high = np.percentile(values, [5, 95], axis=0)
    return high - low


def readings(swept: Sweep, truth: FloatArray, generator: np.random.Generator) -> FloatArray:
    """Logarithm of the time of each run as a person would read it, everything a little off."""
    stated = settings()
    tilt = {s.pitch: PITCH * generator.standard_normal() for s in stated}
    lift = {s.end_height: END_HEIGHT * generator.standard_normal() for s in stated}
    jug = CONTAINER * generator.standard_normal()
    true = tuple(
        replace(
            s,
            pitch=s.pitch + tilt[s.pitch],
            end_height=s.end_height + lift[s.end_height],
            quantities=tuple(q + QUANTITY * off for q in s.quantities),
            volume=s.volume * (1.0 + jug),
        )
        for s, off in zip(stated, generator.standard_normal(len(stated)), strict=True)
    )
    model = run_model(swept.assembly, true)
    draws = draws_from(swept.assembly, with_scores(swept.assembly, keys_of(swept), truth[None, :]))
    seconds = model.seconds(draws)[0]
    return np.log(seconds + TIMING * generator.standard_normal(len(seconds)))


def drained(model: RunModel) -> tuple[Reading, ...]:
    """The stretches as readings, with the times of the middle of all bands."""
    return tuple(
        Reading(
            name=str(number), line=0, setting=setting, seconds=float(seconds), density=715.0,
            density_measured=True, container="jug", container_error=CONTAINER,
            timing=PRESS, drain=setting.position, mark=MARK_VOLUME,
        )
        for number, (setting, seconds) in enumerate(
            zip(model.settings, model.seconds()[0], strict=True)
        )
    )  # fmt: skip


def drain_readings(swept: Sweep, truth: FloatArray, generator: np.random.Generator) -> FloatArray:
    """Logarithm of the time of each stretch, everything a little off, the marks in common."""
    stated = stretches()
    tilt, lift = PITCH * generator.standard_normal(), END_HEIGHT * generator.standard_normal()
    jug = 1.0 + CONTAINER * generator.standard_normal()
    true, late = [], []
    for position in dict.fromkeys(setting.position for setting in stated):
        mine = [setting for setting in stated if setting.position == position]
        filled = QUANTITY * generator.standard_normal()
        ends = jug * np.array([0.0, *(s.drawn_before + s.volume for s in mine)])
        ends[1:] += MARK_VOLUME * generator.standard_normal(len(mine))
        true += [
            replace(
                setting,
                pitch=setting.pitch + tilt,
                end_height=lift,
                quantities=tuple(q + filled for q in setting.quantities),
                drawn_before=max(float(ends[number]), 0.0),
                volume=float(ends[number + 1] - ends[number]),
            )
            for number, setting in enumerate(mine)
        ]
        late.append(PRESS * generator.standard_normal(len(mine) + 1))
    model = run_model(swept.assembly, tuple(true))
    draws = draws_from(swept.assembly, with_scores(swept.assembly, keys_of(swept), truth[None, :]))
    seconds = model.seconds(draws)[0]
    seconds = seconds * np.exp(STRETCH * generator.standard_normal(len(seconds)))
    return np.log(seconds + np.concatenate([np.diff(presses) for presses in late]))


def picture(found: Trials, path: Path) -> None:
    """Draw the places of the truth, and how often bands of every share hold it."""
    import matplotlib

    matplotlib.use("svg")
    import matplotlib.pyplot as plt
    from scipy.stats import binom

    matplotlib.rcParams.update({"svg.hashsalt": "flowsim", "svg.fonttype": "path"})
    count, bins = len(found.place), 10
    figure, (left, right) = plt.subplots(1, 2, figsize=(9.0, 3.6), layout="constrained")
    low, high = binom.ppf([0.005, 0.995], count, 1.0 / bins)
    left.axhspan(low, high, color="0.85", label="99 % of even counts")
    shares = np.linspace(0.02, 0.98, 49)
    for column, (name, style) in enumerate(zip(found.names, ("-", "--"), strict=True)):
        counts, edges = np.histogram(found.place[:, column], bins=bins, range=(0.0, 1.0))
        left.stairs(counts, edges, color="black", linestyle=style, label=name)
        right.plot(shares, [found.held(s)[column] for s in shares], "k" + style, label=name)
    left.set(xlabel="place of the truth in the band after the test [-]",
             ylabel=f"trials out of {count} [-]", ylim=(0, None))  # fmt: skip
    margin = 2.58 * np.sqrt(shares * (1 - shares) / count)
    right.fill_between(shares, shares - margin, shares + margin, color="0.85",
                       label="99 % of sampling error")  # fmt: skip
    right.set(
        xlabel="stated share of the band [-]", ylabel="share of trials that hold the truth [-]"
    )
    right.plot([0.9], [0.9], marker="o", color="black", fillstyle="none")
    for axes in (left, right):
        axes.legend(fontsize="small")
    path.parent.mkdir(parents=True, exist_ok=True)
    figure.savefig(path, metadata={"Date": None, "Creator": "flowsim"})
    plt.close(figure)


def main() -> None:
    """Print the figures and write the picture."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=200)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--drain-down", action="store_true")
    parser.add_argument("--picture", type=Path, default=None)
    options = parser.parse_args()
    found = trials(options.trials, options.seed, drain_down=options.drain_down)
    for column, name in enumerate(found.names):
        print(
            f"{name}: the 90 % band holds the truth in {100 * found.held()[column]:.1f} % of "
            f"{len(found.place)} trials; the 50 % band in {100 * found.held(0.5)[column]:.1f} %; "
            f"median width {100 * np.median(found.width[:, column]):.0f} % of the band before"
        )
    usual = PICTURE if options.trials >= 200 and not options.drain_down else None
    path = options.picture or usual
    if path is not None:
        picture(found, path)
        print(f"wrote {path}")


if __name__ == "__main__":
    main()
