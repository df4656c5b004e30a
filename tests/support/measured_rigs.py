"""Rigs whose flow was measured, through the case reader: predicted, then fitted on one run.

The case files stand with the data in ``tests/published``. A drain-down is followed by ``flight``; a
tube under a held head is a run of the ground test. The fit is the ground test's own: what it learns
of one run is put into the others as a calibrated case would have it.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np

from flowsim.files.case.reader import read_case_text
from flowsim.files.readings.profile_file import read_profile_text
from flowsim.network.assembly import assemble
from flowsim.studies.flight.profile import fly
from flowsim.studies.ground_test.fit import fit
from flowsim.studies.ground_test.predict import run_model
from flowsim.studies.ground_test.reading_errors import errors_of
from flowsim.studies.ground_test.runs import Reading, Setting
from flowsim.studies.sampling.calibration import calibrated
from flowsim.studies.sampling.draws import draw
from flowsim.studies.sampling.scores import learned_of
from flowsim.system.calibration import Calibration
from flowsim.system.fuel_system import FuelSystem

FOLDER = Path(__file__).parents[1] / "published"
AREA = 0.32 * 0.26
"""[m2] Plan of the tank of the drain-down."""
HIGH, LOW = 0.10, 0.02
"""[m] Levels over the tube's entry between which it was timed."""
FALL = 1.0 / 150.0
"""[-] Fall of its tubes."""
WARMTH = 293.15
"""[K] Its water, assumed."""
DRAIN_PROFILE = """
[[start]]
tank = "tank"
quantity = "8.32 L"
[[phase]]
name = "drain"
duration = "400 s"
pitch = "0 deg"
power = 1.0
altitude = "0 m"
parked = true
temperature = "20 degC"
"""
GOAL = 5.0
"""[%] Difference wanted of a prediction that one run has corrected."""


@dataclass(frozen=True, kw_only=True)
class Prediction:
    """One measured run: its flow or time, and what flowsim says, in the unit of the source.

    ``seconds``: whether it is a time, of which a longer one means less flow. ``low`` and ``high``
    the 5th and 95th percentile of the bands before any test. ``fitted`` by the run that corrected
    the prediction (NaN for itself).
    """

    name: str
    measured: float
    expected: float
    low: float
    high: float
    seconds: bool
    fitted: tuple[float, ...]

    def percent(self, value: float) -> float:
        """Flow that a value means over the measured flow, less one [%]."""
        ratio = self.measured / value if self.seconds else value / self.measured
        return 100.0 * (ratio - 1.0)


def drain_down_rows() -> list[dict[str, str]]:
    """Rows of the measured drain-down."""
    return _csv("drain_down")


def _csv(folder: str) -> list[dict[str, str]]:
    with (FOLDER / folder / "data.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@cache
def drain_down_rig(millimetres: int) -> FuelSystem:
    """Read the case of the drain-down with a tube of some length [mm]."""
    text = (FOLDER / "drain_down" / "case.toml").read_text(encoding="utf-8")
    filled = text.replace("@LENGTH@", str(millimetres))
    return read_case_text(filled.replace("@FALL@", f"{FALL * millimetres:.4f}"), "case.toml")


def flown_seconds(system: FuelSystem, millimetres: int) -> float:
    """Time [s] in which ``flight`` lets the level fall from ``HIGH`` to ``LOW``."""
    profile = read_profile_text(DRAIN_PROFILE, "flight.toml", system, is_case=False)
    result = fly(system, profile)
    assert result.stopped == ""
    # The root of the head falls nearly in a straight line, so it is interpolated.
    extra = 1e-3 * millimetres * FALL
    root = np.sqrt(result.history.quantity[:, 0] / AREA + extra)
    return float(np.interp(-np.sqrt(LOW + extra), -root, result.history.time))


@cache
def drain_down_predictions() -> tuple[Prediction, ...]:
    """Every tube of the drain-down, from geometry alone and fitted on each of the others."""
    rows = [(int(row["length_mm"]), float(row["seconds"])) for row in drain_down_rows()]
    learned = [
        _learned(drain_down_rig(length), _drained(length, seconds)) for length, seconds in rows
    ]
    return tuple(
        Prediction(
            name=f"{length} mm",
            measured=seconds,
            expected=flown_seconds(drain_down_rig(length), length),
            seconds=True,
            fitted=tuple(
                np.nan
                if other == length
                else flown_seconds(replace(drain_down_rig(length), calibration=found), length)
                for (other, _), found in zip(rows, learned, strict=True)
            ),
            **_band(drain_down_rig(length), _drained(length, seconds)),
        )
        for length, seconds in rows
    )


@cache
def dosing_tube_rig() -> FuelSystem:
    """Read the case of the tube under a held head."""
    text = (FOLDER / "dosing_tube" / "case.toml").read_text(encoding="utf-8")
    return read_case_text(text, "case.toml")


@cache
def dosing_tube_predictions() -> tuple[Prediction, ...]:
    """Every head of the dosing tube [mL/min], and fitted on the least, middle and largest head."""
    system = dosing_tube_rig()
    rows = [(float(row["head_m"]), float(row["flow_ml_min"])) for row in _csv("dosing_tube")]
    readings = tuple(_held(head, flow) for head, flow in rows)
    settings = tuple(reading.setting for reading in readings)
    chosen = (0, len(rows) // 2, len(rows) - 1)
    found = [
        _flows(replace(system, calibration=_learned(system, readings[index])), settings)
        for index in chosen
    ]
    expected = _flows(system, settings)
    return tuple(
        Prediction(
            name=f"{1e3 * head:.0f} mm",
            measured=flow,
            expected=float(expected[place]),
            seconds=False,
            fitted=tuple(
                np.nan if place == index else float(values[place])
                for index, values in zip(chosen, found, strict=True)
            ),
            **_band(system, readings[place], 6e7 * readings[place].setting.volume),
        )
        for place, (head, flow) in enumerate(rows)
    )


def _flows(system: FuelSystem, settings: tuple[Setting, ...]) -> np.ndarray:
    """Flow of each run [mL/min]."""
    model = run_model(assemble(system), settings)
    return 6e7 * np.array([setting.volume for setting in settings]) / model.seconds()[0]


def _band(system: FuelSystem, reading: Reading, over: float | None = None) -> dict[str, float]:
    """5th and 95th percentile before any test: of the time [s], or of ``over`` divided by it."""
    assembly = assemble(system)
    seconds = run_model(assembly, (reading.setting,)).seconds(draw(assembly, 1024, 1))[:, 0]
    values = seconds if over is None else over / seconds
    low, high = np.percentile(values, [5, 95])
    return {"low": float(low), "high": float(high)}


def _learned(system: FuelSystem, reading: Reading) -> Calibration:
    """Fit one run, as ``ground-test fit`` does."""
    assembly = assemble(system)
    model = run_model(assembly, (reading.setting,))
    found = fit(model, np.log([reading.seconds]), errors_of(model, (reading,)))
    learned, directions = learned_of(found.covariance)
    calibration = calibrated(
        system, found.keys, found.scores, learned, directions, "one run", found.centre
    ).calibration
    assert calibration is not None
    return calibration


def _reading(setting: Setting, seconds: float) -> Reading:
    return Reading(
        name="1",
        line=1,
        setting=setting,
        seconds=seconds,
        density=998.0,
        density_measured=True,
        container="tank",
        container_error=0.01,
    )


def _drained(length: int, seconds: float) -> Reading:
    """The run that lowers the level of the drain-down."""
    setting = Setting(
        position=assemble(drain_down_rig(length)).positions[0].name,
        pitch=0.0,
        end_height=0.0,
        quantities=(AREA * HIGH,),
        volume=AREA * (HIGH - LOW),
        temperature=WARMTH,
    )
    return _reading(setting, seconds)


def _held(head: float, millilitres: float) -> Reading:
    """A minute's flow under a held head (the rig's tank has 1 m2)."""
    setting = Setting(
        position=assemble(dosing_tube_rig()).positions[0].name,
        pitch=0.0,
        end_height=0.0,
        quantities=(head,),
        volume=1e-6 * millilitres,
        temperature=295.15,
    )
    return _reading(setting, 60.0)


def all_fitted(predictions: tuple[Prediction, ...]) -> Iterator[float]:
    """Differences [%] of all predictions that another run has corrected."""
    for one in predictions:
        yield from (one.percent(value) for value in one.fitted if np.isfinite(value))
