"""Write turbulent.csv and laminar.csv: the same networks solved by EPANET 2.2 through wntr.

Run from the repository root with wntr installed:
``PYTHONPATH=. python tests/published/epanet/make_reference.py``. Elevations are zero and reservoirs
hold the heads, raised by 10 m so that no pressure is negative. EPANET takes g = 32.2 ft/s2; heads
are scaled by it.
"""

import math
import tempfile
import tomllib
from pathlib import Path

import wntr

from tests.support.published_units import FOOT, si

FOLDER = Path(__file__).parent
SCALE = 9.80665 / (32.2 * FOOT)
"""Heads of EPANET over ours, for the same flows."""
WATER = 1.1e-5 * FOOT**2
"""[m2/s] EPANET states viscosity relative to this."""


def solve(case):
    """Give the volume flow [m3/s] and the Reynolds number of every link."""
    nu = si(case["kinematic_viscosity"])
    net = wntr.network.WaterNetworkModel()
    for name in dict.fromkeys(node for link in case["link"] for node in (link["from"], link["to"])):
        if name in case["heads"]:
            net.add_reservoir(name, base_head=10.0 + SCALE * si(case["heads"][name]))
        else:
            net.add_junction(name, base_demand=si(case.get("demands", {}).get(name, 0.0)))
    for link in case["link"]:
        pipe, *fittings = link["parts"]
        net.add_pipe(
            link["name"], link["from"], link["to"], length=si(pipe["pipe"]),
            diameter=si(pipe["bore"]), roughness=si(pipe["roughness"]),
            minor_loss=sum(part["k"] for part in fittings),
        )  # fmt: skip
    options = net.options
    options.time.duration = 0
    options.hydraulic.headloss = "D-W"
    options.hydraulic.viscosity = nu / WATER
    options.hydraulic.accuracy = 1e-8
    options.hydraulic.headerror = 1e-6
    options.hydraulic.trials = 500
    options.hydraulic.inpfile_units = "LPS"
    with tempfile.TemporaryDirectory() as place:
        found = wntr.sim.EpanetSimulator(net).run_sim(file_prefix=f"{place}/net", version=2.2)
    for link in case["link"]:
        flow = float(found.link["flowrate"][link["name"]].iloc[0])
        bore = si(link["parts"][0]["bore"])
        yield link["name"], flow, 4 * abs(flow) / (math.pi * bore * nu)


def write(source: Path, target: str) -> None:
    cases = tomllib.loads(source.read_text(encoding="utf-8"))["case"]
    rows = [
        f"{case['example']},{name},{3.6e6 * flow:.6g},{reynolds:.0f}"
        for case in cases
        for name, flow, reynolds in solve(case)
    ]
    head = f"# EPANET 2.2 through wntr {wntr.__version__}, by make_reference.py\n"
    head += "case,link,litres_per_hour,reynolds"
    (FOLDER / target).write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write(FOLDER.parent / "pandapipes" / "cases.toml", "turbulent.csv")
    write(FOLDER / "laminar.toml", "laminar.csv")
