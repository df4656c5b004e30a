"""Two invented cases in their own text, in which nothing is forgotten; tests change one thing.

Every number is made up; no aeroplane is meant.
"""

from flowsim.files.case.reader import read_case_text
from flowsim.system.fuel_system import FuelSystem

_HEAD = """title = "Invented case for tests"
[fuel]
kind = "avgas 100LL"
temperatures = ["-10 degC", "35 degC"]
[engine]
inlet_at = ["300 mm", "30 mm", "450 mm"]
feed = "gravity"
burn = "18 L/h"
burn_density = "0.72 kg/L"
descent_burn = "6 L/h"
[engine.carburettor]
float_level_at = ["320 mm", "30 mm", "460 mm"]
bowl_pressure = "0 Pa"
parts = [{ part = "needle and seat", bore = "4 mm" }]
[flight]
level_pitch = "0 deg"
climb_pitch = "11 deg"
descent_pitch = "-4 deg"
climb_speed = "95 km/h"
level_speed = "150 km/h"
pressure_altitude = "2000 m"
acceleration = "0.3 g0"
[ground]
kind = "nosewheel"
pitch = "0 deg"
[test]
draw = "2 L"
height_accuracy = "5 mm"
"""

_TANK = """
[[tank]]
name = "{name}"
shape = "box"
corners = [["1150 mm", "{inner} mm", "1480 mm"], ["1560 mm", "{outer} mm", "1620 mm"]]
fill_factor = 0.97
capacity = "39 L"
unusable = "12 L"
least_takeoff = "16 L"
vent = {{ kind = "forward" }}
[[tank.outlet]]
name = "rear"
at = ["1540 mm", "{out} mm", "1480 mm"]
bore = "7.7 mm"
style = "standpipe"
screen = {{ area = "8 cm2", mesh = "16 /in", wire = "0.45 mm", clear_fraction = 0.9 }}
"""

_FORWARD = """
[[line]]
name = "forward"
from = "{start}"
to = "engine"
hose_bore = "8.7 mm"
material = "rubber hose"
via = [["420 mm", "50 mm", "360 mm"]]
bend_radius = "100 mm"
parts = [
  {{ part = "sediment bowl", name = "bowl", bore = "7.5 mm" }},
  {{ part = "elbow 90", name = "hose end", bore = "7.5 mm" }},
]
[[drain]]
name = "bowl drain"
reaches = "forward"
at = ["450.6 mm", "49 mm", "362 mm"]
"""

_DOWN = """
[[line]]
name = "{name} down"
from = "{name}.rear"
to = "{end}"
tube = "3/8 in x 0.035 in"
material = "aluminium tube"
via = [["1540 mm", "{out} mm", "1380 mm"], ["1530 mm", "{side} mm", "560 mm"]]
bend_radius = "32 mm"
parts = [{{ part = "{part}", name = "{name} fitting"{bore} }}]
"""

ONE = (
    _HEAD
    + _TANK.format(name="centre", inner=-360, outer=360, out=0)
    + """
[[junction]]
name = "floor"
at = ["1350 mm", "50 mm", "430 mm"]
"""
    + _DOWN.format(name="centre", end="floor", out=0, side=50, part="ball valve", bore="")
    + _FORWARD.format(start="floor")
)
"""One tank, one line with a bowl, a carburettor with its seat."""

TWO = (
    _HEAD
    + _TANK.format(name="left", inner=-900, outer=-180, out=-200)
    + _TANK.format(name="right", inner=180, outer=900, out=200)
    + """
[[selector]]
name = "selector"
at = ["1350 mm", "0 mm", "430 mm"]
ports = { port = "left down", starboard = "right down" }
outlet = "forward"
positions = { left = ["port"], right = ["starboard"], off = [] }
judged = ["left", "right"]
loss = { part = "selector", bore = "7 mm" }
"""
    + _DOWN.format(
        name="left", end="selector", out=-200, side=-150, part="elbow 90", bore=', bore = "7 mm"'
    )
    + _DOWN.format(
        name="right", end="selector", out=200, side=150, part="elbow 90", bore=', bore = "7 mm"'
    )
    + _FORWARD.format(start="selector")
)
"""Two tanks, left, right and off."""


def read(text: str, *changes: tuple[str, str]) -> FuelSystem:
    """Read a case with some of its text changed; each old text must be there."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return read_case_text(text, "case.toml")
