"""Physical constants, each with its source."""

STANDARD_GRAVITY = 9.80665
"""[m/s2] Standard acceleration of gravity; exact by definition (3rd CGPM, 1901)."""

STANDARD_PRESSURE = 101325.0
"""[Pa] Sea-level pressure of the standard atmosphere (ISO 2533:1975, ICAO Doc 7488).
Tag: published (transcribed)."""

STANDARD_TEMPERATURE = 288.15
"""[K] Sea-level temperature of the standard atmosphere (ISO 2533:1975).
Tag: published (transcribed)."""

TEMPERATURE_LAPSE = 0.0065
"""[K/m] Temperature lapse below 11 km of the standard atmosphere (ISO 2533:1975).
Tag: published (transcribed)."""

AIR_GAS_CONSTANT = 287.05287
"""[J/(kg K)] Specific gas constant of air in the standard atmosphere (ISO 2533:1975).
Tag: published (transcribed)."""

ZERO_CELSIUS = 273.15
"""[K] 0 degC; exact by definition."""

GRAVITY_FEED_FACTOR = 1.5
"""[-] Required flow over full-power burn with gravity feed (14 CFR 23.955(b) before amendment
23-64; AC 90-89A, 1995, whose later edition is AC 90-89B, 2015, not read in full). It does not bind
an amateur-built aeroplane; it is the usual yardstick. Tag: published (both read)."""

HORSEPOWER = 550.0 * 0.3048 * 0.45359237 * STANDARD_GRAVITY
"""[W] 550 foot pounds in a second, exact by its definition. Tag: published."""

USUAL_CONSUMPTION = 0.55 * 0.45359237 / HORSEPOWER / 3600.0
"""[kg/J] Fuel per power and time at full power, 0.55 lb/hp/h (AC 90-89A, 1995; AC 90-89B, 2015, is
the later edition). Tag: published (read)."""

USUAL_CONSUMPTION_WORDS = "0.55 lb/hp/h"
"""The same as a case file may write it. Tag: published (read)."""
