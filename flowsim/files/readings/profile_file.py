"""Read a flight profile, from a case or a file of its own: phases, or every mistake at once."""

import math
from collections.abc import Sequence
from pathlib import Path as FilePath

from flowsim import measures
from flowsim.errors import DomainError
from flowsim.files.case.flight import refuse_fast
from flowsim.files.case.fuel import split_message
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.models_profile import PhaseSection, ProfileFile, StartSection
from flowsim.files.case.source import open_case
from flowsim.files.case.validate import example, model_of
from flowsim.files.case.words import did_you_mean, spelled_as
from flowsim.files.toml.lines import KeyPath
from flowsim.files.toml.source import decode, file_name, read_bytes
from flowsim.files.units.kinds import MASS_FLOW
from flowsim.files.units.quantities import shown
from flowsim.measures import DENSITY, TEMPERATURE, VOLUME, airspeed_words
from flowsim.network.assembly import assemble
from flowsim.physics.fuel.properties import density, require_range
from flowsim.physics.tank.surface import capacity_of
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.profile import Phase, Profile
from flowsim.system.tanks import StatedLevel

ORDER_SLACK = 1.0
"""[s] How far a stated begin may lie from where the phase before ends."""
LONGEST = 48.0 * 3600.0
"""[s] All phases together; more is no flight."""
MOST_PHASES = 200
MOST_BURN = 2.0
"""[-] Largest burn over that at full power: full power with the richest mixture, and a little more;
beyond it a slip of unit or of decimals is meant (common practice, no source)."""
REFERENCE_TEMPERATURE = 288.15
"""[K] 15 degC: a burn given as volume is turned into mass at the fuel's density there."""


def read_profile(path: FilePath, system: FuelSystem, *, is_case: bool) -> Profile:
    """Read a profile.

    Parameters
    ----------
    path
        The case file, or a profile of its own: TOML in UTF-8, at most 1 MiB.
    system
        The case that is flown.
    is_case
        Whether the file is the case itself, whose other keys are then not looked at.

    Returns
    -------
    Profile
        Every phase fits the system; what was filled in is in its assumptions.

    Raises
    ------
    InputError
        The file cannot be read, or with all mistakes in it, in file order.
    """
    name = file_name(path)
    return read_profile_text(decode(read_bytes(path), name), name, system, is_case=is_case)


def read_profile_text(text: str, name: str, system: FuelSystem, *, is_case: bool) -> Profile:
    """Read the text of a profile; see ``read_profile``."""
    ledger = open_case(text, name).ledger
    model = model_of(ledger, CaseFile if is_case else ProfileFile)
    if model is None:
        ledger.raise_mistakes()
    assert isinstance(model, CaseFile | ProfileFile)
    reader = _Reader(system, ledger)
    phases = reader.phases(model.phase)
    start = reader.start(model.start)
    ledger.raise_mistakes()
    return Profile(
        title=model.title or "flight",
        start=start,
        phases=phases,
        assumptions=tuple(
            f"{item.item}: {'assumed' if item.origin == 'assumed' else 'not given, taken as'} "
            f"{item.value}" + (f" ({item.note})" if item.note else "")
            for item in ledger.provenance
        ),
    )


class _Reader:
    """Turns sections into phases and a start; mistakes go into the ledger."""

    def __init__(self, system: FuelSystem, ledger: Ledger) -> None:
        self.system, self.ledger = system, ledger
        self.positions = [position.name for position in assemble(system).positions]
        self.density = float(density(system.fuel, REFERENCE_TEMPERATURE))

    def phases(self, sections: Sequence[PhaseSection]) -> tuple[Phase, ...]:
        """Build the phases in order."""
        if not sections and not self.ledger.is_reported(("phase",)):
            self.ledger.mistake(
                (), "there is no phase to fly", "write a section [[phase]] for each stretch"
            )
        if len(sections) > MOST_PHASES:
            problem = f"{len(sections)} phases are more than {MOST_PHASES}"
            self.ledger.mistake(("phase",), problem, "join some of them")
            return ()
        found: list[Phase] = []
        time = 0.0
        for number, section in enumerate(sections):
            path: KeyPath = ("phase", number)
            self.ledger.note_assumed(path, section)
            self._check_time(section, path, time)
            found.append(self._phase(section, path, found[-1] if found else None))
            if not math.isnan(section.duration.value):
                time += section.duration.value
        if time > LONGEST:
            problem = f"the phases last {time / 3600.0:.0f} h together"
            self.ledger.mistake(("phase",), problem, "give at most 48 h")
        return tuple(found)

    def _check_time(self, section: PhaseSection, path: KeyPath, time: float) -> None:
        if section.duration.value == 0.0:
            self.ledger.mistake(
                (*path, "duration"),
                f"{shown(section.duration.text)} is no duration",
                f"write how long it lasts, {example(PhaseSection, 'duration')}, or leave it out",
            )
        begin = section.begin
        if begin is None or math.isnan(begin.value):
            return
        if abs(begin.value - time) > ORDER_SLACK:
            self.ledger.mistake(
                (*path, "begin"),
                f"{shown(begin.text)} is out of order: the phases before it end after "
                f"{time / 60.0:.6g} min",
                f'write begin = "{time / 60.0:.6g} min", or the phases in the order they are flown',
            )

    def _phase(self, section: PhaseSection, path: KeyPath, before: Phase | None) -> Phase:
        flight = self.system.flight
        if section.bank is not None and section.roll is not None:
            problem = "bank is given as well"
            self.ledger.mistake((*path, "roll"), problem, "keep bank (a turn) or roll (a slip)")
        lean = section.bank or section.roll
        parked = bool(section.parked)
        if parked and section.speed is not None:
            self.ledger.mistake((*path, "speed"), "the phase is parked", "keep one of them")
        if parked and section.bank is not None:
            problem = "a parked aeroplane does not turn"
            self.ledger.mistake((*path, "bank"), problem, "write it as roll")
        if section.altitude is None:
            self.ledger.default(
                (*path, "altitude"), f"{flight.pressure_altitude:.0f} m", "[flight]"
            )
        if section.speed is None and not parked:
            self.ledger.default((*path, "speed"), airspeed_words(flight.climb_speed), "climb speed")
        if section.speed is not None:
            refuse_fast(
                self.ledger, (*path, "speed"), section.speed, example(PhaseSection, "speed")
            )
        speed = flight.climb_speed if section.speed is None else section.speed.value
        altitude = section.altitude
        return Phase(
            name=section.name,
            duration=section.duration.value,
            pitch=section.pitch.value,
            lean=0.0 if lean is None else lean.value,
            turning=section.bank is not None,
            burn=self._burn(section, path),
            selector=self._selector(section, path),
            altitude=flight.pressure_altitude if altitude is None else altitude.value,
            airspeed=0.0 if parked else speed,
            temperature=self._temperature(section, path, before),
        )

    def _burn(self, section: PhaseSection, path: KeyPath) -> float:
        """Give the burn [kg/s]."""
        if section.power is not None and section.burn is not None:
            self.ledger.mistake((*path, "burn"), "power is given as well", "keep one of them")
        if section.power is not None:
            return section.power.value * self.system.engine.burn
        if section.burn is None:
            if not any(self.ledger.is_reported((*path, key)) for key in ("power", "burn")):
                self.ledger.mistake(
                    (*path, "power"),
                    "neither power nor burn is given",
                    f"write {example(PhaseSection, 'power')} or {example(PhaseSection, 'burn')}",
                )
            return math.nan
        given = section.burn
        burn = given.value
        if given.quantity is None or given.quantity.kind is not MASS_FLOW:
            note = "density for a burn in volume: the fuel's at 15 degC"
            self.ledger.default(
                (*path, "burn"), f"{given.text} at {DENSITY.significant(self.density, 4)}", note
            )
            burn *= self.density
        if burn > MOST_BURN * self.system.engine.burn:
            full = measures.MASS_FLOW.words(self.system.engine.burn, 1)
            self.ledger.mistake(
                (*path, "burn"),
                f"{shown(given.text)} is more than {MOST_BURN:g} times the burn at full power, "
                f"{full}",
                "correct it, or write power instead",
            )
        return burn

    def _selector(self, section: PhaseSection, path: KeyPath) -> str:
        if section.selector is None:
            if len(self.positions) == 1:
                return self.positions[0]
            if not self.ledger.is_reported((*path, "selector")):
                listed = ", ".join(shown(name) for name in self.positions[:20])
                self.ledger.mistake(
                    (*path, "selector"), "the selector's position is missing", f"write {listed}"
                )
            return ""
        meant = spelled_as(section.selector, self.positions)
        if meant not in self.positions and section.selector:
            self.ledger.mistake(
                (*path, "selector"),
                f"there is no selector position {shown(section.selector)}",
                did_you_mean(section.selector, self.positions),
            )
        return meant

    def _temperature(self, section: PhaseSection, path: KeyPath, before: Phase | None) -> float:
        """Give the fuel temperature [K]: as written, else that of the phase before."""
        given = section.temperature
        if given is None:
            usual = self.system.temperatures[0] if before is None else before.temperature
            note = "the first fuel temperature of the case"
            if before is not None:
                note = f"that of the phase before, {shown(before.name)}"
            self.ledger.default((*path, "temperature"), TEMPERATURE.words(usual, 1), note)
            return usual
        if not math.isnan(given.value):
            try:
                require_range(self.system.fuel, given.value)
            except DomainError as error:
                self.ledger.mistake((*path, "temperature"), *split_message(error))
        return given.value

    def start(self, sections: Sequence[StartSection]) -> tuple[tuple[str, float], ...]:
        """Give the fuel of every tank at the start."""
        filled = {
            tank.name: capacity_of(tank.shape) or 0.0
            for tank in self.system.tanks
            if not isinstance(tank.shape, StatedLevel)
        }
        given: dict[str, float] = {}
        for number, section in enumerate(sections):
            path: KeyPath = ("start", number)
            name, value = spelled_as(section.tank, filled), section.quantity.value
            self.ledger.note_assumed(path, section)
            if not name:
                continue
            if name not in filled:
                problem = f"there is no tank {shown(name)} with a quantity"
                self.ledger.mistake((*path, "tank"), problem, did_you_mean(name, list(filled)))
            elif name in given:
                problem = f"tank {shown(name)} is given twice"
                self.ledger.mistake((*path, "tank"), problem, "keep one of them")
            elif value > filled[name] * (1.0 + 1e-9):
                self.ledger.mistake(
                    (*path, "quantity"),
                    f"{shown(section.quantity.text)} is more than tank {shown(name)} holds, "
                    f"{1000.0 * filled[name]:.4g} L",
                    f'write at most "{_floor(1000.0 * filled[name])} L"',
                )
            given[name] = value
        for name, capacity in filled.items():
            if name not in given:
                note = f"full; write [[start]] for tank {shown(name)}"
                self.ledger.default(("start",), VOLUME.significant(capacity, 4), note)
        return tuple((name, given.get(name, capacity)) for name, capacity in filled.items())


def _floor(litres: float) -> str:
    """Give litres rounded down to a tenth."""
    return f"{math.floor(10.0 * litres) / 10.0:.1f}"
