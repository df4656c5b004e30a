"""Write the reference data of this folder. Run from the repository root with CoolProp installed."""

from pathlib import Path

import CoolProp
from CoolProp.CoolProp import PropsSI

FOLDER = Path(__file__).parent
NOTE = f"# CoolProp {CoolProp.__version__}, by make_data.py; 101 325 Pa, saturation for pressure\n"
AIR = 101325.0


def write(name: str, header: str, rows: list[str]) -> None:
    (FOLDER / name).write_text(NOTE + header + "\n" + "\n".join(rows) + "\n", encoding="utf-8")


def density(liquid, celsius):
    return PropsSI("D", "T", celsius + 273.15, "P", AIR, liquid)


def viscosity(liquid, celsius):
    return 1e3 * PropsSI("V", "T", celsius + 273.15, "P", AIR, liquid)


def pressure(liquid, celsius):
    return 1e-3 * PropsSI("P", "T", celsius + 273.15, "Q", 0, liquid)


def kinematic(liquid, celsius):
    return 1e3 * viscosity(liquid, celsius) / density(liquid, celsius)


def lines():
    rows = []
    laws = {
        "density": (density, (0, 40), (-20, 20, 60)),
        "kinematic viscosity": (kinematic, (-20, 40), (0, 20, 60)),
        "vapour pressure": (pressure, (0, 40), (20, 60)),
    }
    for liquid in ("n-Hexane", "n-Heptane", "n-Octane", "Toluene"):
        for name, (law, given, asked) in laws.items():
            points = " ".join(f"{t}:{law(liquid, t):.5g}" for t in given)
            rows += [f"{liquid},{name},{points},{t},{law(liquid, t):.5g}" for t in asked]
    return rows


if __name__ == "__main__":
    water = [
        f"{t},{density('Water', t):.7g},{viscosity('Water', t):.6g},{pressure('Water', t):.6g}"
        for t in (1, 5, 10, 15, 20, 25, 30, 40, 50, 60)
    ]
    write("water.csv", "temperature_c,density,viscosity,vapour_pressure", water)
    ethanol = [
        f"{t},{density('Ethanol', t):.7g},{viscosity('Ethanol', t):.6g}"
        for t in (-40, -20, 0, 20, 40, 60)
    ]
    write("ethanol.csv", "temperature_c,density,viscosity", ethanol)
    write("lines.csv", "liquid,property,points,temperature_c,value", lines())
