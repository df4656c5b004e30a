"""Write the reference data of this folder. Run from the repository root with fluids installed."""

from pathlib import Path

import fluids
from fluids import fittings, friction

FOLDER = Path(__file__).parent
NOTE = f"# fluids {fluids.__version__}, by make_data.py\n"
ROUGHNESS = (0.0, 2e-4, 2e-3, 1e-2)


def write(name: str, header: str, rows: list[str]) -> None:
    (FOLDER / name).write_text(NOTE + header + "\n" + "\n".join(rows) + "\n", encoding="utf-8")


def factors(law, reynolds):
    return [f"{Re:g},{eD:g},{law(Re, eD):.9g}" for Re in reynolds for eD in ROUGHNESS]


def steps():
    pairs = [(7.75, 4.57), (7.75, 7.54), (9.5, 6.4), (10.92, 7.75)]
    rows = []
    for large, small in pairs:
        narrowing = fittings.contraction_sharp(Di1=large, Di2=small, method="Rennels")
        widening = fittings.diffuser_sharp(Di1=small, Di2=large, method="Rennels")
        rows += [f"{large},{small},{narrowing:.6g}", f"{small},{large},{widening:.6g}"]
    return [*rows, f"10000,1,{fittings.entrance_sharp(method='Rennels'):.6g}"]


if __name__ == "__main__":
    columns = "reynolds,relative_roughness,friction_factor"
    turbulent = (2300.0, 2700.0, 3500.0, 5e3, 7e3, 1e4, 2e4, 5e4, 1e5)
    write("colebrook.csv", columns, factors(friction.Colebrook, turbulent))
    everywhere = (100.0, 500.0, 1000.0, 1900.0, 2100.0, 2500.0, 3000.0, 4000.0, 1e4, 2e4)
    write("churchill.csv", columns, factors(friction.Churchill_1977, everywhere))
    write("steps.csv", "from_mm,to_mm,k", steps())
