"""A small invented case for routing: one tank, one or two lines, in metres."""

from dataclasses import replace

from flowsim.files.case.reader import read_case_text
from flowsim.system.fuel_system import FuelSystem

HEAD = """
title = "Routing"
[fuel]
kind = "avgas 100LL"
temperatures = ["15 degC"]
[engine]
inlet_at = ["{inlet[0]} m", "{inlet[1]} m", "{inlet[2]} m"]
feed = "gravity"
burn = "20 L/h"
burn_density = "0.72 kg/L"
[flight]
level_pitch = "0 deg"
climb_pitch = "10 deg"
climb_speed = "50 kt"
pressure_altitude = "0 ft"
descent_pitch = "-5 deg"
[test]
draw = "2 L"
[[tank]]
name = "tank"
shape = "box"
corners = [["1.8 m", "-0.4 m", "2 m"], ["2.2 m", "0.4 m", "2.12 m"]]
capacity = "38 L"
unusable = "6 L"
least_takeoff = "12 L"
vent = {{ kind = "forward" }}
[[tank.outlet]]
name = "out"
at = ["2 m", "0 m", "2 m"]
bore = "8 mm"
style = "flush"
[[drain]]
name = "tank drain"
reaches = "tank"
at = ["2.2 m", "0 m", "2 m"]
"""

GROUND = '[ground]\nkind = "tailwheel"\npitch = "11 deg"\n'


def point(at: tuple[float, float, float]) -> str:
    return "[" + ", ".join(f'"{axis:.9g} m"' for axis in at) + "]"


def line(
    name: str,
    start: str,
    to: str,
    via: list[tuple[float, float, float]] | None,
    *,
    size: str = 'tube = "3/8 in x 0.035 in"\nmaterial = "aluminium tube"',
    bend: str = "30 mm",
    more: str = "",
) -> str:
    course = "straight = true" if via is None else f"via = [{', '.join(map(point, via))}]"
    return (
        f'[[line]]\nname = "{name}"\nfrom = "{start}"\nto = "{to}"\n{size}\n{course}\n'
        f'bend_radius = "{bend}"\n{more}\n'
    )


def case_text(
    *sections: str, inlet: tuple[float, float, float] = (0.0, 0.0, 0.0), ground: str = GROUND
) -> str:
    return HEAD.format(inlet=inlet) + ground + "\n".join(sections)


def system_of(
    *sections: str,
    inlet: tuple[float, float, float] = (0.0, 0.0, 0.0),
    ground: str = GROUND,
    sharp: bool = False,
) -> FuelSystem:
    """Read a case; ``sharp`` makes corners of its bends, for exact constructions."""
    system = read_case_text(case_text(*sections, inlet=inlet, ground=ground), "routing.toml")
    if not sharp:
        return system
    return replace(system, lines=tuple(replace(item, bend_radius=None) for item in system.lines))
