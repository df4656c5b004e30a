"""Readings of a ground test: from a file to runs in SI, or every mistake in one go."""

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from flowsim.errors import DomainError, InputError, Mistake
from flowsim.files.case.cell_text import unprotected
from flowsim.files.case.fuel import split_message
from flowsim.files.case.words import did_you_mean, plain
from flowsim.files.readings.drain_rows import drain_groups, drain_readings
from flowsim.files.readings.table import ReadingsRow, read_rows
from flowsim.files.toml.source import file_name, read_bytes
from flowsim.files.units import kinds
from flowsim.files.units.examples import example_words
from flowsim.files.units.kinds import Kind
from flowsim.files.units.quantities import QuantityError, in_unit_of, parse_quantity, shown
from flowsim.measures import DENSITY, TEMPERATURE, VOLUME
from flowsim.network.assembly import Assembly, assemble
from flowsim.physics.fuel.properties import density as density_of
from flowsim.physics.fuel.properties import require_range
from flowsim.physics.tank.surface import capacity_of
from flowsim.studies.ground_test.runs import CONTAINER, TIMING, Reading, Setting
from flowsim.studies.judged.scenarios import fed_tanks
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import StatedLevel

SECONDS = Kind(
    name="time", words="a time", si="s", units=("s", "min", "h"), example="75 s",
    low=0.0, high=86400.0, low_words="zero", high_words="a day", low_is_open=True,
    clock="min",
)  # fmt: skip
LARGEST_DENSITY_DIFFERENCE = 0.08
"""[-] A measured density further from the case's fuel than this is taken for a slip (wrong unit,
wrong liquid)."""
LARGEST_ACCURACY = 0.2
"""[-] A container known no better than this is no measure."""
SAME_CONTAINER = 0.05
"""[-] Volumes that differ by no more were drawn into one container. Tag: common practice."""
NOTHING = (float("nan"), float("nan"))
_NO = ("no", "n", "0", "false", "leave out")
_YES = ("", "yes", "y", "1", "true")


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """A file of readings: its runs, what was taken for granted, name and SHA-256."""

    runs: tuple[Reading, ...]
    remarks: tuple[str, ...]
    name: str
    sha256: str


def read_readings(path: Path, system: FuelSystem) -> Readings:
    """Read a file of readings.

    Parameters
    ----------
    path
        CSV or TOML (by its ending), at most 1 MiB.
    system
        The case that was tested.

    Returns
    -------
    Readings
        Runs without a time are left out, with a remark.

    Raises
    ------
    InputError
        The file cannot be read, or with every mistake in it, each with its line.
    """
    content = read_bytes(path)
    return read_readings_text(content, file_name(path), system)


def read_readings_text(content: bytes, name: str, system: FuelSystem) -> Readings:
    """Read the bytes of a file of readings; see ``read_readings``."""
    rows = read_rows(content, name, tuple(tank.name for tank in system.tanks))
    reader = RunReader(name, system)
    runs = reader.runs(rows)
    if reader.mistakes:
        raise InputError(sorted(reader.mistakes, key=lambda mistake: mistake.line or 0))
    made = tuple(runs)
    if not made:
        raise InputError([Mistake(name, None, "", "has no run with a time", "fill in the seconds")])
    return Readings(
        runs=made,
        remarks=tuple(dict.fromkeys(reader.remarks)),
        name=name,
        sha256=hashlib.sha256(content).hexdigest(),
    )


class RunReader:
    """Turns rows into runs; collects mistakes and remarks."""

    def __init__(self, name: str, system: FuelSystem) -> None:
        self.name, self.system = name, system
        self.assembly: Assembly = assemble(system)
        self.mistakes: list[Mistake] = []
        self.remarks: list[str] = []
        self.item, self.line = "", 0
        self.containers: dict[str, float] = {}

    def at(self, item: str, line: int) -> None:
        """Go to an item and a line, for mistakes and remarks."""
        self.item, self.line = item, line

    def runs(self, rows: list[ReadingsRow]) -> list[Reading]:
        """Read all rows; those of a drain-down go together."""
        found: list[Reading] = []
        drains: set[str] = set()
        number = 0
        for group in drain_groups(rows):
            number += 1
            row = group[0]
            if not row.get("mark"):
                run = self.run(row, number)
                found += [] if run is None else [run]
                continue
            name = plain(row.get("run")) or str(number)
            if name in drains:
                self.at(f"drain-down {name}", row.line)
                self.mistake("its rows do not stand together", "keep them in one block, in order")
            drains.add(name)
            found += drain_readings(self, group, name)
        return found

    def usual_accuracy(self) -> float:
        """Take the usual accuracy of a container, and say so."""
        self.remarks.append(
            f"{self.item} (line {self.line}): the container's accuracy is missing; 1 % is "
            "taken (common practice, no source)"
        )
        return CONTAINER

    def run(self, row: ReadingsRow, number: int) -> Reading | None:
        """Read one row; None where it was not made or has a mistake."""
        before = len(self.mistakes)
        name = plain(row.get("run")) or str(number)
        self.at(f"run {name}", row.line)
        if not row.get("seconds"):
            self.remarks.append(f"run {name} (line {row.line}) has no time and is left out")
            return None
        seconds = self.value(row, "seconds", SECONDS)
        temperature = self.value(row, "temperature", kinds.TEMPERATURE)
        setting = self.setting(row, temperature)
        density, measured = self.density(row, temperature)
        volume, error, weighed = self._container(row, density)
        timing = self.value_or(row, "timing", SECONDS, TIMING)
        used = self.is_used(row)
        if len(self.mistakes) > before or setting is None:
            return None
        setting = replace(setting, volume=volume)
        self.check(setting)
        if len(self.mistakes) > before:
            return None
        return Reading(
            name=name,
            line=row.line,
            setting=setting,
            seconds=seconds,
            density=density,
            density_measured=measured,
            container=self._same_container(volume, weighed=weighed),
            container_error=error,
            weighed=weighed,
            timing=timing,
            used=used,
            remarks=plain(row.get("remarks")),
        )

    def mistake(self, problem: str, remedy: str) -> None:
        """Note a mistake on the row at hand."""
        self.mistakes.append(Mistake(self.name, self.line, self.item, problem, remedy))

    def value(self, row: ReadingsRow, column: str, *wanted: Kind) -> float:
        """Read a value that must be there [SI]; NaN with a mistake."""
        return self._quantity(column, row.get(column), *wanted)

    def _quantity(self, column: str, text: str, *wanted: Kind) -> float:
        if not text:
            self.mistake(
                f"{column} is missing", example_words(f'write for example "{wanted[0].example}"')
            )
            return float("nan")
        try:
            return parse_quantity(text, *wanted).value
        except QuantityError as error:
            self.mistake(f"{column}: {error.problem}", error.remedy)
            return float("nan")

    def value_or(self, row: ReadingsRow, column: str, kind: Kind, usual: float) -> float:
        """Read a value that may be missing [SI]."""
        text = row.get(column)
        return self._quantity(column, text, kind) if text else usual

    def setting(self, row: ReadingsRow, temperature: float) -> Setting | None:
        """Read how a run is set up; None with a mistake."""
        pitch = self.value(row, "attitude", kinds.PITCH)
        roll = self.value_or(row, "roll", kinds.PITCH, 0.0)
        end = row.get("line end")
        if not end:
            self.mistake("line end is missing", "write 0 mm where it was at the inlet's height")
        height = self._quantity("line end", end, kinds.COORDINATE) if end else float("nan")
        position = self._position(row)
        quantities = self._fuel(row)
        if position is None or np.isnan([pitch, roll, height, temperature]).any():
            return None
        return Setting(
            position=position,
            pitch=pitch,
            roll=roll,
            end_height=height,
            quantities=quantities,
            volume=float("nan"),
            temperature=temperature,
        )

    def _position(self, row: ReadingsRow) -> str | None:
        names = [position.name for position in self.assembly.positions]
        word = plain(row.get("selector"))
        if not word and not self.system.selectors:
            return names[0]
        if not word:
            self.mistake("selector is missing", f"write one of {', '.join(names)}")
            return None
        meant = {word.casefold(), unprotected(word).casefold()}
        for name in names:
            if name.casefold() in meant:
                return name
        problem = f"{shown(word, 40)} is not a selector position of the case"
        self.mistake(problem, did_you_mean(word, names))
        return None

    def _fuel(self, row: ReadingsRow) -> tuple[float, ...]:
        amounts = []
        for tank in self.system.tanks:
            cell = row.fuel.get(tank.name)
            if isinstance(tank.shape, StatedLevel):
                amounts.append(0.0)
                continue
            amount = self._quantity(
                f'fuel in "{tank.name}"', "" if cell is None else cell.text, kinds.VOLUME
            )
            full = capacity_of(tank.shape)
            if full is not None and amount > full:
                problem = f'{cell.text if cell else ""} in "{tank.name}" is more than it holds'
                problem += f", {VOLUME.words(full, 1)}"
                self.mistake(problem, "correct the quantity or the case")
            amounts.append(amount)
        return tuple(amounts)

    def density(self, row: ReadingsRow, temperature: float) -> tuple[float, bool]:
        """Give the density [kg/m3] and whether it was measured."""
        text = row.get("density")
        try:
            require_range(self.system.fuel, temperature)
            usual = float(density_of(self.system.fuel, temperature))
        except DomainError as error:
            if not np.isnan(temperature):
                self.mistake(*split_message(error))
            usual = float("nan")
        if not text:
            if not np.isnan(usual):
                self.remarks.append(
                    f"{self.item} (line {self.line}): the density is missing; "
                    f"{DENSITY.words(usual, 1)} of {self.system.fuel.name} at "
                    f"{TEMPERATURE.words(temperature, 1)} is taken, good to 1 % only. Measure "
                    f"it: the "
                    "required flow is a mass"
                )
            return usual, False
        found = self._quantity("density", text, kinds.DENSITY)
        if abs(found / usual - 1.0) > LARGEST_DENSITY_DIFFERENCE:
            self.mistake(
                f"density {shown(text)} is {100 * (found / usual - 1):+.0f} % off that of "
                f"{self.system.fuel.name}, {DENSITY.words(usual, 0)}",
                "check the unit and the liquid, or state the liquid in the case",
            )
        return found, True

    def _container(self, row: ReadingsRow, density: float) -> tuple[float, float, bool]:
        """Give the volume [m3], its relative error (one deviation), and whether it was weighed."""
        text, accuracy = row.get("container"), row.get("accuracy")
        if not text:
            self.mistake("container is missing", 'write its volume or mass, "2 L" or "1.5 kg"')
            return *NOTHING, False
        try:
            size = parse_quantity(text, kinds.VOLUME, kinds.MASS)
        except QuantityError as error:
            self.mistake(f"container: {error.problem}", error.remedy)
            return *NOTHING, False
        if not size.value > 0.0:
            self.mistake("container is zero", "write what was drawn")
            return *NOTHING, False
        weighed = size.kind is kinds.MASS
        volume = size.value / density if weighed else size.value
        if not accuracy:
            return volume, self.usual_accuracy(), weighed
        deviation = self._quantity("accuracy", accuracy, kinds.SHARE, size.kind)
        share = deviation if accuracy.rstrip().endswith("%") else deviation / size.value
        if not 0.0 < share <= LARGEST_ACCURACY:
            if not np.isnan(share):
                self.mistake(
                    f"accuracy {shown(accuracy)} of {text} is not plausible",
                    f"write one standard deviation, for example "
                    f'"{in_unit_of(0.005 * size.value, size)}"',
                )
            return volume, float("nan"), weighed
        return volume, share, weighed

    def _same_container(self, volume: float, *, weighed: bool) -> str:
        """Name the container: one scale, and one jug for volumes that hardly differ.

        What one jug or scale is off by is off in all its runs, however each was written down.
        """
        if weighed:
            return "scale"
        for name, known in self.containers.items():
            if abs(volume / known - 1.0) <= SAME_CONTAINER:
                return name
        name = VOLUME.words(volume, 2)
        self.containers[name] = volume
        return name

    def is_used(self, row: ReadingsRow) -> bool:
        """Read whether a run corrects the model."""
        word = row.get("fit").lower()
        if word not in (*_YES, *_NO):
            self.mistake(f"fit: {shown(word, 30)} is not a yes or no", "write yes or no")
        return word not in _NO

    def check(self, setting: Setting) -> None:
        """Check a run against itself: is there a way, was there that much fuel."""
        names = [position.name for position in self.assembly.positions]
        fed = fed_tanks(self.assembly, names.index(setting.position))
        if not fed:
            remedy = "correct the selector; a closed one gives no flow"
            self.mistake(f'no fuel can flow with the selector at "{setting.position}"', remedy)
            return
        if any(isinstance(self.system.tanks[tank].shape, StatedLevel) for tank in fed):
            return
        there = sum(setting.quantities[tank] for tank in fed)
        if setting.volume > there:
            tanks = " and ".join(f'"{self.system.tanks[tank].name}"' for tank in sorted(fed))
            self.mistake(
                f"{VOLUME.words(setting.volume, 2)} were drawn, more than the "
                f"{VOLUME.words(there, 2)} that were in {tanks}",
                "correct the container or the fuel at the start",
            )
