"""Write flows.csv: the networks of cases.toml solved by pandapipes.

Run from the repository root with pandapipes installed:
``PYTHONPATH=. python tests/published/pandapipes/make_reference.py``. Pressures replace heads (all
elevations zero), so that gravity plays no part; friction_model="colebrook" has no laminar branch,
hence the networks are turbulent throughout.
"""

import math
import tomllib
from pathlib import Path

import pandapipes as pp
from pandapipes.properties.fluids import create_constant_fluid

from tests.support.published_units import si

FOLDER = Path(__file__).parent
G = 9.80665
TEMPERATURE = 293.15


def build(case):
    """Make the network of a case."""
    density, nu = si(case["density"]), si(case["kinematic_viscosity"])
    net = pp.create_empty_network()
    net["fluid"] = create_constant_fluid(
        name="petrol", fluid_type="liquid", density=density, viscosity=density * nu,
        heat_capacity=2000.0, molar_mass=100.0, compressibility=1.0, der_compressibility=0.0,
    )  # fmt: skip
    ends = [node for link in case["link"] for node in (link["from"], link["to"])]
    node = {
        name: pp.create_junction(net, pn_bar=1.0, tfluid_k=TEMPERATURE, name=name)
        for name in dict.fromkeys(ends)
    }
    for name, head in case["heads"].items():
        bar = 1.0 + 1e-5 * density * G * si(head)
        pp.create_ext_grid(net, node[name], p_bar=bar, t_k=TEMPERATURE)
    for name, demand in case.get("demands", {}).items():
        pp.create_sink(net, node[name], mdot_kg_per_s=density * si(demand))
    for link in case["link"]:
        pipe, *fittings = link["parts"]
        pp.create_pipe_from_parameters(
            net, node[link["from"]], node[link["to"]], length_km=1e-3 * si(pipe["pipe"]),
            inner_diameter_mm=1e3 * si(pipe["bore"]), k_mm=1e3 * si(pipe["roughness"]),
            loss_coefficient=sum(part["k"] for part in fittings), name=link["name"],
        )  # fmt: skip
    return net


def run(net):
    """Let the package solve it."""
    pp.pipeflow(
        net, friction_model="colebrook", iter=200, tol_p=1e-12, tol_m=1e-12, tol_res=1e-10,
        max_iter_colebrook=200,
    )  # fmt: skip


def solve(case):
    """Give the volume flow [m3/s] and the Reynolds number of every link."""
    density, nu = si(case["density"]), si(case["kinematic_viscosity"])
    net = build(case)
    run(net)
    for link, mass_flow in zip(case["link"], net.res_pipe.mdot_from_kg_per_s, strict=True):
        flow = mass_flow / density
        bore = si(link["parts"][0]["bore"])
        yield link["name"], flow, 4 * abs(flow) / (math.pi * bore * nu)


if __name__ == "__main__":
    cases = tomllib.loads((FOLDER / "cases.toml").read_text(encoding="utf-8"))["case"]
    rows = [
        f"{case['example']},{name},{3.6e6 * flow:.7g},{reynolds:.0f}"
        for case in cases
        for name, flow, reynolds in solve(case)
    ]
    head = f"# pandapipes {pp.__version__}, by make_reference.py\n"
    head += "case,link,litres_per_hour,reynolds"
    (FOLDER / "flows.csv").write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
