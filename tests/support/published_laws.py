"""Readers of published tables: one row of a table in, published and computed numbers out."""

import math
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from scipy.optimize import brentq

from flowsim.constants import STANDARD_GRAVITY
from flowsim.files.case.reader import read_case_text
from flowsim.physics.air.atmosphere import standard_density, standard_pressure, standard_temperature
from flowsim.physics.fuel.catalogue import CATALOGUE
from flowsim.physics.fuel.measured_points import (
    density_through,
    vapour_pressure_through,
    viscosity_through,
)
from flowsim.physics.fuel.petroleum import (
    ethanol_density,
    ethanol_dynamic_viscosity,
    petroleum_density,
    reid_vapour_pressure,
)
from flowsim.physics.fuel.properties import density, kinematic_viscosity, vapour_pressure
from flowsim.physics.losses.fitting_catalogue import cv_to_kv
from flowsim.physics.losses.formed_fittings import sudden_change
from flowsim.physics.losses.friction import darcy_factor
from flowsim.physics.losses.laws import head_loss
from flowsim.system.engine import Engine
from flowsim.system.parts import FlowCoefficient
from tests.support.measured_rigs import (
    dosing_tube_predictions,
    drain_down_rig,
    flown_seconds,
)
from tests.support.published_units import PSI, US_GALLON, si

FOLDER = Path(__file__).parents[1] / "published"
Row = Mapping[str, str]
Options = Mapping[str, Any]
Answers = Iterator[dict[str, Any]]


def friction_factors(row: Row, options: Options) -> Answers:
    """Measured or tabulated Darcy factors.

    ``times`` turns another definition into Darcy's; ``roughness_um`` is the roughness that flowsim
    takes for the material where a row states the bore only.
    """
    reynolds, rough = float(row["reynolds"]), float(row.get("relative_roughness", "0"))
    if "roughness_um" in options:
        rough = 1e-3 * options["roughness_um"] / float(row["bore_mm"])
    printed = row["friction_factor"]
    if "times" in options:
        printed = f"{options['times'] * float(printed):.6g}"
    yield {
        "label": f"Re {reynolds:.6g}, roughness/bore {rough:.3g}",
        "quantity": "Darcy friction factor",
        "published": printed,
        "computed": float(darcy_factor(reynolds, rough, options.get("law", "cautious"))),
        "position": reynolds,
    }


def _implicit(slope: float, constant: float, reynolds: float) -> float:
    """Solve 1/sqrt(f) = slope log10(Re sqrt(f)) + constant."""
    root = brentq(lambda x: x - slope * math.log10(reynolds / x) - constant, 1.0, 50.0, xtol=1e-13)
    return float(root**-2)


FRICTION_LAWS: Mapping[str, Callable[[float, float], float]] = {
    "f = 64/Re": lambda Re, rough: 64.0 / Re,
    "f = 0.3164 Re^-1/4": lambda Re, rough: 0.3164 * Re**-0.25,
    "1/sqrt f = 2 log10(Re sqrt f) - 0.8": lambda Re, rough: _implicit(2.0, -0.8, Re),
    "1/sqrt f = 1.930 log10(Re sqrt f) - 0.537": lambda Re, rough: _implicit(1.930, -0.537, Re),
    "1/sqrt f = 1.74 + 2 log10(r/k)": lambda Re, rough: (1.74 - 2 * math.log10(2 * rough)) ** -2,
}


def friction_law(row: Row, options: Options) -> Answers:
    """A published formula, worked out where the rows say."""
    reynolds, rough = float(row["reynolds"]), float(row.get("relative_roughness", "0"))
    by_law = FRICTION_LAWS[options["law"]](reynolds, rough)
    yield from friction_factors({**row, "friction_factor": f"{by_law:.7g}"}, {})


def atmosphere(row: Row, options: Options) -> Answers:
    height = float(row["altitude_m"])
    for quantity, law, unit in (
        ("temperature", standard_temperature, "K"),
        ("pressure", standard_pressure, "hPa"),
        ("density", standard_density, "kg/m3"),
    ):
        yield {
            "label": f"{height:g} m",
            "quantity": quantity,
            "published": f"{row[quantity]} {unit}",
            "computed": float(law(height)),
            "position": height,
        }


def _kelvin(celsius: str) -> float:
    return float(celsius) + 273.15


def _points(text: str) -> tuple[tuple[float, float], ...]:
    """Read "-20:4.50 40:1.31" as pairs of degC and a value."""
    pairs = (pair.split(":") for pair in text.split())
    return tuple((_kelvin(celsius), float(value)) for celsius, value in pairs)


def stock_vapour_pressure(row: Row, options: Options) -> Answers:
    temperature = (float(row["temperature_f"]) - 32.0) / 1.8 + 273.15
    computed = reid_vapour_pressure(float(row["reid_psi"]) * PSI, options["slope"], temperature)
    yield {
        "label": f"Reid {row['reid_psi']} psi, {row['temperature_f']} degF",
        "quantity": "true vapour pressure",
        "published": f"{row['vapour_psia']} psia",
        "computed": float(computed),
        "position": float(row["reid_psi"]),
    }


def measured_density(row: Row, options: Options) -> Answers:
    computed = petroleum_density(float(row["density_15"]), _kelvin(row["temperature_c"]))
    yield {
        "label": f"{row['liquid']}, {row['density_15']} at 15 degC, to {row['temperature_c']} degC",
        "quantity": "density",
        "published": f"{row['measured']} kg/m3",
        "computed": float(computed),
        "tolerance": f"{100 * float(row['tolerance']):g} %",
    }


def measured_viscosity(row: Row, options: Options) -> Answers:
    points = tuple((kelvin, 1e-6 * value) for kelvin, value in _points(row["points"]))
    yield {
        "label": f"{row['fuel']}, line through {row['points']}, at {row['temperature_c']} degC",
        "quantity": "kinematic viscosity",
        "published": f"{row['measured_mm2_s']} mm2/s",
        "computed": float(viscosity_through(points, _kelvin(row["temperature_c"]))),
        "tolerance": f"{100 * float(row['tolerance']):g} %",
        "why": row["why"],
    }


def liquid_properties(row: Row, options: Options) -> Answers:
    """Properties of a liquid flowsim carries, against a library of reference equations."""
    kelvin = _kelvin(row["temperature_c"])
    if options["liquid"] == "water":
        fuel = CATALOGUE["water"]
        found = {
            "density": float(density(fuel, kelvin)),
            "viscosity": float(kinematic_viscosity(fuel, kelvin) * density(fuel, kelvin)),
            "vapour_pressure": float(vapour_pressure(fuel, kelvin)),
        }
    else:
        found = {
            "density": float(ethanol_density(kelvin)),
            "viscosity": float(ethanol_dynamic_viscosity(kelvin)),
        }
    units = {"density": "kg/m3", "viscosity": "mPa s", "vapour_pressure": "kPa"}
    for name, computed in found.items():
        yield {
            "label": f"{options['liquid']}, {row['temperature_c']} degC",
            "quantity": {"viscosity": "dynamic viscosity"}.get(name, name.replace("_", " ")),
            "published": f"{row[name]} {units[name]}",
            "computed": computed,
            "tolerance": options["tolerances"][name],
            "position": float(row["temperature_c"]),
        }


def lines_through_points(row: Row, options: Options) -> Answers:
    """A builder's two measured points, and the law between them."""
    law, unit = {
        "density": (density_through, "kg/m3"),
        "kinematic viscosity": (viscosity_through, "mm2/s"),
        "vapour pressure": (vapour_pressure_through, "kPa"),
    }[row["property"]]
    points = tuple((kelvin, si(f"{value} {unit}")) for kelvin, value in _points(row["points"]))
    yield {
        "label": f"{row['liquid']}, {row['temperature_c']} degC, through {row['points']}",
        "quantity": row["property"],
        "published": f"{row['value']} {unit}",
        "computed": float(law(points, _kelvin(row["temperature_c"]))),
        "tolerance": options["tolerances"][row["property"].replace(" ", "_")],
    }


def gallon_weight(row: Row, options: Options) -> Answers:
    computed = petroleum_density(float(row["density_15"]), _kelvin(row["temperature_c"]))
    yield {
        "label": f"avgas of {row['density_15']} kg/m3 at 15 degC, at {row['temperature_c']} degC",
        "quantity": "density",
        "published": f"{row['pounds_per_gallon']} lb/gal",
        "computed": float(computed),
        "tolerance": row["tolerance"],
    }


def flow_sensors(row: Row, options: Options) -> Answers:
    sensor = FlowCoefficient(name="sensor", kind="meter", bore=6e-3, kv=cv_to_kv(float(row["cv"])))
    flow = float(row["gallons_per_hour"]) * US_GALLON / 3600.0
    head, _ = head_loss(sensor, flow, 0.65e-6)
    yield {
        "label": f"Cv {row['cv']}, {row['gallons_per_hour']} gal/h",
        "quantity": "pressure drop",
        "published": f"{row['psi']} psi",
        "computed": float(head) * options["density"] * STANDARD_GRAVITY,
    }


def size_changes(row: Row, options: Options) -> Answers:
    before, after = float(row["from_mm"]), float(row["to_mm"])
    yield {
        "label": f"{before:g} to {after:g} mm",
        "quantity": "K on the smaller bore",
        "published": row["k"],
        "computed": sudden_change(1e-3 * before, 1e-3 * after).k_inf,
    }


@cache
def _engine(case: Path) -> Engine:
    return read_case_text(case.read_text(encoding="utf-8"), case.name).engine


def required_flow(row: Row, options: Options) -> Answers:
    """Required flow of a case file; ``factor`` "gravity" is the one flowsim demands."""
    engine = _engine(FOLDER / options["case"])
    factor = engine.factor if row["factor"] == "gravity" else float(row["factor"])
    mass = engine.burn * factor
    yield {
        "label": row["what"],
        "quantity": "required flow" if row["factor"] == "gravity" else "flow",
        "published": row["published"],
        "computed": mass / si(row["density"]) if row["density"] else mass,
        "tolerance": row["tolerance"],
    }


def drain_down(row: Row, options: Options) -> Answers:
    """A timed drain-down, from the case file through ``flight``."""
    length = int(row["length_mm"])
    yield {
        "label": f"tube of {length} mm",
        "quantity": "time",
        "published": f"{row['seconds']} s",
        "computed": flown_seconds(drain_down_rig(length), length),
    }


def held_head(row: Row, options: Options) -> Answers:
    """Flow of the tube under a held head."""
    found = {one.name: one for one in dosing_tube_predictions()}
    one = found[f"{1e3 * float(row['head_m']):.0f} mm"]
    yield {
        "label": f"head of {one.name}",
        "quantity": "flow",
        "published": f"{float(row['flow_ml_min']):.1f} mL/min",
        "computed": one.expected * 1e-6 / 60.0,
    }


READERS: Mapping[str, Callable[[Row, Options], Answers]] = {
    "friction factors": friction_factors,
    "friction law": friction_law,
    "atmosphere": atmosphere,
    "stock vapour pressure": stock_vapour_pressure,
    "measured density": measured_density,
    "measured viscosity": measured_viscosity,
    "liquid properties": liquid_properties,
    "lines through points": lines_through_points,
    "gallon weight": gallon_weight,
    "flow sensors": flow_sensors,
    "size changes": size_changes,
    "required flow": required_flow,
    "drain-down": drain_down,
    "held head": held_head,
}
