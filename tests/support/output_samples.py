"""Invented case, profile and readings texts for the tests of what the commands print."""

from pathlib import Path

from flowsim.files.case.starter import starter_text
from tests.support.routing_case import case_text, line

ROOT = Path(__file__).parents[2]
CASES = {path.parent.name: path for path in (ROOT / "cases").glob("*/case.toml")}

PROFILE = """title = "Invented"
{starts}
[[phase]]
name = "climb"
duration = "{minutes} min"
pitch = "10 deg"
power = 1
selector = "{selector}"
[[phase]]
name = "turn"
duration = "1 min"
pitch = "2 deg"
bank = "20 deg"
power = 0.7
selector = "{selector}"
[[phase]]
name = "slip"
duration = "1 min"
pitch = "-2 deg"
roll = "12 deg"
power = 0.2
selector = "{selector}"
"""
HEADER = """
[[tank]]
name = "header"
shape = "level"
surface_at = ["0.9 m", "0 m", "{surface} m"]
{volume}
vent = {{ kind = "cap" }}
[[tank.outlet]]
name = "in"
at = ["0.9 m", "0 m", "0.94 m"]
bore = "8 mm"
style = "flush"
[[tank.outlet]]
name = "out"
at = ["0.85 m", "0 m", "0.9 m"]
bore = "8 mm"
style = "flush"
"""
COLUMNS = (
    "run,attitude [deg],line end [mm],selector,centre [L],container [L],accuracy [mL],seconds,"
    "temperature [degC],density [kg/m3],fit,remarks\n"
)


def profile(minutes: float, selector: str, **litres: str) -> str:
    starts = "\n".join(
        f'[[start]]\ntank = "{tank}"\nquantity = "{volume}"' for tank, volume in litres.items()
    )
    return PROFILE.format(starts=starts, minutes=minutes, selector=selector)


def readings(*runs: tuple[float, float, str]) -> str:
    """Attitude, seconds and what follows of each run."""
    rows = [
        f"{number},{pitch},0,no selector,6,2,20,{seconds},18,{rest},\n"
        for number, (pitch, seconds, rest) in enumerate(runs, start=1)
    ]
    return COLUMNS + "".join(rows)


def texts() -> dict[str, str]:
    """Files that the commands need besides the bundled cases; all invented."""
    straight = line("feed", "tank.out", "engine", [(1.0, 0.1, 0.8)])
    unknown = (
        '[[line]]\nname = "feed"\nfrom = "tank.out"\nto = "engine"\nlength = "3 m"\n'
        'hose_bore = "8 mm"\nmaterial = "rubber hose"\n'
    )
    held = "[line.installation]\nsupports_along = [{}]\n{}\n"
    near = (
        '[[obstacle]]\nname = "loom"\nkind = "wire"\npoints = [["1 m", "0.12 m", "0.75 m"]]\n'
        '[routing]\nslip = "10 deg"\n[[vent_line]]\nname = "vent"\ntank = "tank"\nbore = "6 mm"\n'
        'points = [["2 m", "0 m", "2.1 m"], ["2.1 m", "0 m", "1.9 m"], ["2.2 m", "0 m", "2.2 m"]]\n'
    )
    often = ", ".join(f'"{number * 400} mm"' for number in range(1, 8))
    refill = line("refill", "tank.out", "header.in", [(1.4, 0.0, 1.3)])
    from_header = line("feed", "header.out", "engine", [(0.5, 0.1, 0.5)])
    beside = line("direct", "tank.out", "engine", [(1.4, 0.3, 1.3)])
    nose_high = CASES["nose-high"].read_text(encoding="utf-8")
    runs = 'climb_speed = "50 kt"\nacceleration = "0.3 g0"'
    full = "715,yes"

    def with_header(surface: float, volume: str, *more: str) -> str:
        tank = HEADER.format(surface=surface, volume=volume)
        return case_text(tank, refill, from_header, *more).replace('climb_speed = "50 kt"', runs)

    return {
        "starter.toml": starter_text("Starter"),
        "wider.toml": nose_high.replace("1/4 in x 0.035 in", "5/16 in x 0.035 in"),
        "unknown-course.toml": case_text(unknown, ground=""),
        "held.toml": case_text(straight + held.format('"400 mm"', 'start_make_up = "9 mm"'), near),
        "good.toml": case_text(straight + held.format(often, "")),
        "header.toml": with_header(1.0, 'volume = "2 L"'),
        "high-header.toml": with_header(2.02, 'volume = "2 L"'),
        "header-and-wing.toml": with_header(1.0, "", beside),
        "short.toml": profile(1, "both", left="86 L", right="20 L"),
        "starving.toml": profile(12, "no selector", centre="2 L"),
        "header-flight.toml": profile(2, "no selector", tank="20 L"),
        "readings.csv": readings((16, 44.1, full), (16, 44.6, full), (16, 44.3, full)),
        "odd.csv": readings((5, 44.1, full), (5, 44.6, ",yes"), (5, 95, full), (5, 44, full),
                            (5, 44.4, "715,no")),
        "drained.csv": COLUMNS.replace(",seconds", ",mark [L],seconds")
        + "D1,16,0,no selector,20,,1 %,2,45,18,715,yes,\nD1,,,,,,,4,90,,,,\nD1,,,,,,,6,136,,,,\n",
        "slow.csv": readings((16, 290, full), (16, 291, full), (16, 290.5, full)),
    }  # fmt: skip
