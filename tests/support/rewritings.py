"""Cases written in another way: the same aeroplane, or a worse one.

``SAME`` are rewritings that leave the physical system as it is: flows and verdict must not change.
``WORSE`` make it worse, or make it known less well, or look harder: the verdict must not improve.
Each takes a case and a generator and gives a changed copy, or None where it does not apply.
"""

import itertools
from collections.abc import Callable
from copy import deepcopy
from typing import Any

import numpy as np

from tests.support.plausible_cases import TUBES, Case, inches, point

Rewrite = Callable[[Case, np.random.Generator], Case | None]
NODES = ("tee", "junction", "selector")
POINTS = ("at", "inlet_at", "float_level_at", "sump_at", "vent_at", "filler_at")
PATHS = ("via", "corners", "root", "tip")


def numbers(text: list[str]) -> tuple[float, float, float]:
    """Read a point [in]."""
    station, buttline, waterline = (float(value.split()[0]) for value in text)
    return station, buttline, waterline


def _number(text: str) -> float:
    return float(text.split()[0])


def _walk(value: Any, change: Callable[[list[str]], list[str]], key: str = "") -> Any:
    """Give a copy in which every point went through ``change``."""
    if isinstance(value, dict):
        return {name: _walk(item, change, name) for name, item in value.items()}
    if key in POINTS:
        return change(value)
    if key in PATHS:
        return [change(item) for item in value]
    if key == "cells":
        return [[change(item) for item in cell] for cell in value]
    if isinstance(value, list):
        return [_walk(item, change) for item in value]
    return value


def _scaled(text: str, factor: float) -> str:
    number, unit = text.split(maxsplit=1)
    return f"{float(number) * factor:.9g} {unit}"


def places(case: Case) -> dict[str, tuple[float, float, float]]:
    """Give every named place [in]."""
    found = {node["name"]: numbers(node["at"]) for kind in NODES for node in case.get(kind, [])}
    for tank in case["tank"]:
        for outlet in tank["outlet"]:
            found[f"{tank['name']}.{outlet['name']}"] = numbers(outlet["at"])
    found["engine"] = numbers(case["engine"]["inlet_at"])
    return found


def course(case: Case, line: Case) -> list[tuple[float, float, float]]:
    """Give the points of a line, ends included [in]."""
    where = places(case)
    return [where[line["from"]], *(numbers(p) for p in line.get("via", [])), where[line["to"]]]


def _set_course(line: Case, points: list[tuple[float, float, float]]) -> None:
    line.pop("via", None)
    line.pop("straight", None)
    if len(points) > 2:
        line["via"] = [point(*p) for p in points[1:-1]]
        line.setdefault("bend_radius", "0.9 in")
    else:
        line["straight"] = True


def _pick(generator: np.random.Generator, items: list[Any]) -> Any:
    return items[int(generator.integers(len(items)))] if items else None


# --- the same aeroplane ------------------------------------------------------------------------


def renamed(case: Case, generator: np.random.Generator) -> Case | None:
    """Every tank, outlet, line, node, port and position gets another name."""
    names = {}
    for kind in ("tank", "line", *NODES):
        for item in case.get(kind, []):
            names[item["name"]] = f"x{generator.integers(1000)} {len(names)}"
    changed = deepcopy(case)
    for kind in ("tank", "line", *NODES, "drain"):
        for item in changed.get(kind, []):
            item["name"] = names.get(item["name"], item["name"])
    outlets = {}
    for old, tank in zip(case["tank"], changed["tank"], strict=True):
        for number, outlet in enumerate(tank["outlet"]):
            outlets[f"{old['name']}.{outlet['name']}"] = f"{tank['name']}.o{number}"
            outlet["name"] = f"o{number}"
    every = {**names, **outlets}
    for line in changed["line"]:
        line["from"], line["to"] = (every.get(line[key], line[key]) for key in ("from", "to"))
    for tee in changed.get("tee", []):
        tee["run"] = [names[name] for name in tee["run"]]
        tee["branch"], tee["common"] = names[tee["branch"]], names[tee["common"]]
    for selector in changed.get("selector", []):
        ports = {port: f"p{number}" for number, port in enumerate(selector["ports"])}
        positions = {name: f"q{number}" for number, name in enumerate(selector["positions"])}
        selector["ports"] = {ports[p]: names[line] for p, line in selector["ports"].items()}
        selector["positions"] = {
            positions[name]: [ports[p] for p in opened]
            for name, opened in selector["positions"].items()
        }
        selector["judged"] = [positions[name] for name in selector["judged"]]
        selector["outlet"] = names[selector["outlet"]]
    for drain in changed.get("drain", []):
        drain["reaches"] = every.get(drain["reaches"], drain["reaches"])
    return changed


def reordered(case: Case, generator: np.random.Generator) -> Case | None:
    """Tanks, outlets, lines and nodes in another order."""
    changed = deepcopy(case)
    for kind in ("tank", "line", *NODES, "drain"):
        if kind in changed:
            changed[kind] = [changed[kind][i] for i in generator.permutation(len(changed[kind]))]
    for tank in changed["tank"]:
        tank["outlet"] = [tank["outlet"][i] for i in generator.permutation(len(tank["outlet"]))]
    return changed


def line_turned(case: Case, generator: np.random.Generator) -> Case | None:
    """A line written from the engine to the tank."""
    changed = deepcopy(case)
    for line in changed["line"]:
        if generator.random() < 0.6:
            # The line's own tube comes first among its parts, whichever way it is written; so a
            # line with a piece of another bore is no longer the same when it is turned.
            if any(part["part"] == "tube" for part in line.get("parts", [])):
                continue
            line["from"], line["to"] = line["to"], line["from"]
            if "via" in line:
                line["via"] = line["via"][::-1]
            if "parts" in line:
                line["parts"] = line["parts"][::-1]
    return changed


def line_cut(case: Case, generator: np.random.Generator) -> Case | None:
    """One line becomes two, joined in the middle of a straight stretch."""
    changed = deepcopy(case)
    line = _pick(generator, changed["line"])
    points = course(changed, line)
    legs = [float(np.linalg.norm(np.subtract(b, a))) for a, b in itertools.pairwise(points)]
    leg = int(np.argmax(legs))
    if legs[leg] < 7.0:
        return None
    middle = tuple(0.5 * (np.array(points[leg]) + np.array(points[leg + 1])))
    first, second = deepcopy(line), line
    first["name"] = f"{line['name']} first part"
    first["to"] = second["from"] = "the cut"
    first.pop("parts", None)
    _set_course(first, [*points[: leg + 1], middle])
    _set_course(second, [middle, *points[leg + 1 :]])
    changed["line"].append(first)
    changed.setdefault("junction", []).append({"name": "the cut", "at": point(*middle)})
    # Whatever named the line at its start now means the first part.
    for tee in changed.get("tee", []):
        if tee["name"] == first["from"]:
            old, new = line["name"], first["name"]
            tee["run"] = [new if name == old else name for name in tee["run"]]
            for key in ("branch", "common"):
                tee[key] = new if tee[key] == old else tee[key]
    for selector in changed.get("selector", []):
        if selector["name"] == first["from"]:
            if selector["outlet"] == line["name"]:
                selector["outlet"] = first["name"]
            selector["ports"] = {
                port: first["name"] if name == line["name"] else name
                for port, name in selector["ports"].items()
            }
    return changed


def piece_as_line(case: Case, generator: np.random.Generator) -> Case | None:
    """A piece of another bore at the end of a line becomes a line of its own."""
    changed = deepcopy(case)
    fitting = [
        line for line in changed["line"]
        if line.get("parts") and line["parts"][-1]["part"] == "tube"
    ]  # fmt: skip
    line = _pick(generator, fitting)
    if line is None:
        return None
    points = course(changed, line)
    piece = line["parts"].pop()
    last = np.subtract(points[-1], points[-2])
    length, run = _number(piece["length"]), float(np.linalg.norm(last))
    if run < length + 3.0:
        return None
    place = tuple(np.array(points[-1]) - last * (length / run))
    own = {
        "name": f"{line['name']} end piece", "from": "the step", "to": line["to"],
        "bore": piece["bore"], "material": "aluminium tube", "straight": True,
    }  # fmt: skip
    line["to"] = "the step"
    _set_course(line, [*points[:-1], place])
    changed["line"].append(own)
    changed.setdefault("junction", []).append({"name": "the step", "at": point(*place)})
    for tee in changed.get("tee", []):
        if tee["name"] == own["to"]:
            tee["run"] = [own["name"] if n == line["name"] else n for n in tee["run"]]
            for key in ("branch", "common"):
                tee[key] = own["name"] if tee[key] == line["name"] else tee[key]
    for selector in changed.get("selector", []):
        if selector["name"] == own["to"]:
            selector["ports"] = {
                port: own["name"] if name == line["name"] else name
                for port, name in selector["ports"].items()
            }
    return changed


def counted_apart(case: Case, generator: np.random.Generator) -> Case | None:
    """Two equal fittings written as two, not as one with a count."""
    changed, found = deepcopy(case), False
    for line in changed["line"]:
        parts = []
        for part in line.get("parts", []):
            count = part.get("count", 1)
            found |= count > 1
            parts += [{**part, "count": 1, "name": f"{part.get('name', part['part'])} {n}"}
                      for n in range(count)] if count > 1 else [part]  # fmt: skip
        if parts:
            line["parts"] = parts
    return changed if found else None


def in_pieces(case: Case, generator: np.random.Generator) -> Case | None:
    """A straight line's own tube written as five pieces of it."""
    changed = deepcopy(case)
    straight = [one for one in changed["line"] if one.get("straight") and "tube" in one]
    line = _pick(generator, straight)
    if line is None:
        return None
    length = sum(np.linalg.norm(np.subtract(b, a))
                 for a, b in itertools.pairwise(course(changed, line)))  # fmt: skip
    length -= sum(_number(one["length"]) for one in line.get("parts", []) if "length" in one)
    piece = {"part": "tube", "length": inches(float(length) / 9.0), "tube": line["tube"],
             "material": line["material"]}  # fmt: skip
    pieces = [{**piece, "name": f"piece {number}"} for number in range(4)]
    line["parts"] = [*pieces, *line.get("parts", [])]
    return changed


def in_millimetres(case: Case, generator: np.random.Generator) -> Case | None:
    """Coordinates in millimetres."""
    return _walk(
        deepcopy(case), lambda place: [f"{_number(value) * 25.4:.12g} mm" for value in place]
    )


def shifted(case: Case, generator: np.random.Generator) -> Case | None:
    """Another datum."""
    offset = generator.uniform(-150, 150, 3)
    return _walk(deepcopy(case), lambda p: point(*(np.array(numbers(p)) + offset)))


def mirrored(case: Case, generator: np.random.Generator) -> Case | None:
    """Right and left exchanged: at wings level nothing changes."""
    return _walk(deepcopy(case), lambda p: point(numbers(p)[0], -numbers(p)[1], numbers(p)[2]))


def _sections(tank: Case) -> tuple[list[Any], list[Any]]:
    """Inner and outer section of a box or bay [in]."""
    if tank["shape"] == "lofted":
        return [numbers(p) for p in tank["root"]], [numbers(p) for p in tank["tip"]]
    (s0, b0, w0), (s1, b1, w1) = (numbers(corner) for corner in tank["corners"])
    ring = [(s0, w0), (s1, w0), (s1, w1), (s0, w1)]
    return [(s, b0, w) for s, w in ring], [(s, b1, w) for s, w in ring]


def as_lofted(case: Case, generator: np.random.Generator) -> Case | None:
    """A box written as a lofted bay."""
    changed, found = deepcopy(case), False
    for tank in changed["tank"]:
        if tank["shape"] == "box":
            root, tip = _sections(tank)
            del tank["corners"]
            tank |= {"shape": "lofted", "root": [point(*p) for p in root],
                     "tip": [point(*p) for p in tip]}  # fmt: skip
            found = True
    return changed if found else None


def as_cells(case: Case, generator: np.random.Generator) -> Case | None:
    """A box cut into two cells."""
    changed, found = deepcopy(case), False
    for tank in changed["tank"]:
        if tank["shape"] != "box":
            continue
        root, tip = _sections(tank)
        share = float(generator.uniform(0.3, 0.7))
        middle = [tuple((1 - share) * np.array(a) + share * np.array(b))
                  for a, b in zip(root, tip, strict=True)]  # fmt: skip
        del tank["corners"]
        tank |= {"shape": "cells", "cells": [[point(*p) for p in (*one, *other)]
                 for one, other in ((root, middle), (middle, tip))]}  # fmt: skip
        found = True
    return changed if found else None


def turned(case: Case, generator: np.random.Generator) -> Case | None:
    """The datum turned in pitch, the pitches with it."""
    angle = float(generator.uniform(-4, 4))
    changed = as_lofted(case, generator) or deepcopy(case)
    cosine, sine = np.cos(np.radians(angle)), np.sin(np.radians(angle))

    def turn(place: list[str]) -> list[str]:
        s, b, w = numbers(place)
        return point(s * cosine + w * sine, b, -s * sine + w * cosine)

    changed = _walk(changed, turn)
    for key in ("level_pitch", "climb_pitch", "descent_pitch"):
        if key in changed["flight"]:
            changed["flight"][key] = f"{_number(changed['flight'][key]) - angle:.9g} deg"
    if "ground" in changed:
        changed["ground"]["pitch"] = f"{_number(changed['ground']['pitch']) - angle:.9g} deg"
    return changed


def with_idle_position(case: Case, generator: np.random.Generator) -> Case | None:
    """One more position that opens nothing and is not judged."""
    if "selector" not in case:
        return None
    changed = deepcopy(case)
    changed["selector"][0]["positions"]["also off"] = []
    return changed


SAME: dict[str, Rewrite] = {
    rewrite.__name__: rewrite
    for rewrite in (
        renamed, reordered, line_turned, line_cut, piece_as_line, in_pieces, counted_apart,
        in_millimetres, shifted, mirrored, as_lofted, as_cells, turned, with_idle_position,
    )
}  # fmt: skip


# --- a worse aeroplane, less knowledge, or a harder look -----------------------------------------


def narrower_tube(case: Case, generator: np.random.Generator) -> Case | None:
    """One line of the next smaller tube."""
    changed = deepcopy(case)
    line = _pick(generator, [item for item in changed["line"] if item.get("tube") in TUBES[1:]])
    if line is None:
        return None
    line["tube"] = TUBES[TUBES.index(line["tube"]) - 1]
    return changed


def narrower_place(case: Case, generator: np.random.Generator) -> Case | None:
    """Some bore somewhere a little smaller: fitting, piece, tee, outlet, hose, seat."""
    changed = deepcopy(case)
    holders = [part for line in changed["line"] for part in line.get("parts", []) if "bore" in part]
    holders += changed.get("tee", [])
    holders += [outlet for tank in changed["tank"] for outlet in tank["outlet"]]
    carburettor = changed["engine"].get("carburettor", {})
    holders += [part for part in carburettor.get("parts", []) if "bore" in part]
    holder = _pick(generator, holders)
    holder["bore"] = _scaled(holder["bore"], float(generator.uniform(0.5, 0.95)))
    return changed


def narrow_end(case: Case, generator: np.random.Generator) -> Case | None:
    """A short narrow piece put into some line."""
    changed = deepcopy(case)
    line = _pick(generator, changed["line"])
    bore = float(generator.uniform(0.08, 0.17))
    line.setdefault("parts", []).append(
        {"part": "tube", "name": "narrow piece", "length": "0.3 in", "bore": inches(bore)}
    )
    return changed


def dirtier_screen(case: Case, generator: np.random.Generator) -> Case | None:
    """Screens with less clear area."""
    changed = deepcopy(case)
    outlets = [outlet for tank in changed["tank"] for outlet in tank["outlet"]]
    screens = [outlet["screen"] for outlet in outlets if "screen" in outlet]
    carburettor = changed["engine"].get("carburettor", {})
    screens += [part for part in carburettor.get("parts", []) if part["part"] == "screen"]
    screen = _pick(generator, screens)
    screen["clear_fraction"] = round(
        float(screen["clear_fraction"] * generator.uniform(0.3, 0.9)), 4
    )
    return changed


def less_unusable(case: Case, generator: np.random.Generator) -> Case | None:
    """Less fuel declared unusable: the test is made with a lower surface."""
    changed = deepcopy(case)
    tank = _pick(generator, changed["tank"])
    tank["unusable"] = _scaled(tank["unusable"], float(generator.uniform(0.3, 0.95)))
    return changed


def more_loss(case: Case, generator: np.random.Generator) -> Case | None:
    """One more loss in some line."""
    changed = deepcopy(case)
    line = _pick(generator, changed["line"])
    loss = {"part": "loss", "name": "more", "k": round(float(generator.uniform(0.5, 8)), 3)}
    line.setdefault("parts", []).append(loss)
    return changed


def more_burn(case: Case, generator: np.random.Generator) -> Case | None:
    """A thirstier engine."""
    changed = deepcopy(case)
    engine = changed["engine"]
    engine["burn"] = _scaled(engine["burn"], float(generator.uniform(1.02, 1.4)))
    return changed


def higher(case: Case, generator: np.random.Generator) -> Case | None:
    """A higher climb."""
    changed = deepcopy(case)
    flight = changed["flight"]
    flight["pressure_altitude"] = f"{_number(flight['pressure_altitude']) + 2500:.0f} ft"
    return changed


def wider_temperatures(case: Case, generator: np.random.Generator) -> Case | None:
    """Both ends of the fuel's temperature further out."""
    changed = deepcopy(case)
    cold, hot = (_number(text) for text in changed["fuel"]["temperatures"])
    changed["fuel"]["temperatures"] = [f"{cold - 6:.3f} degC", f"{hot + 6:.3f} degC"]
    return changed


def one_more_temperature(case: Case, generator: np.random.Generator) -> Case | None:
    """A temperature between the ends judged as well."""
    changed = deepcopy(case)
    cold, hot = (_number(text) for text in changed["fuel"]["temperatures"])
    between = cold + float(generator.uniform(0.2, 0.8)) * (hot - cold)
    changed["fuel"]["temperatures"] = [f"{value:.3f} degC" for value in (cold, between, hot)]
    return changed


def steeper(case: Case, generator: np.random.Generator) -> Case | None:
    """A steeper climb."""
    changed = deepcopy(case)
    flight = changed["flight"]
    flight["climb_pitch"] = f"{_number(flight['climb_pitch']) + 1.5:.4f} deg"
    return changed


def faster(case: Case, generator: np.random.Generator) -> Case | None:
    """Flown faster, level and in the climb."""
    changed = deepcopy(case)
    for key in ("climb_speed", "level_speed"):
        if key in changed["flight"]:
            changed["flight"][key] = _scaled(changed["flight"][key], 1.15)
    return changed


def cut_at_a_bend(case: Case, generator: np.random.Generator) -> Case | None:
    """One line becomes two that meet where it turns: its corner is no longer rounded off."""
    bent = [
        line for line in case["line"]
        if line.get("via") and line["from"] in _outlets(case)
        # An elbow at the cut would be one that makes the turn.
        and not any("elbow" in part["part"] for part in line.get("parts", []))
    ]  # fmt: skip
    if not bent:
        return None
    changed = deepcopy(case)
    name = bent[int(generator.integers(len(bent)))]["name"]
    line = next(item for item in changed["line"] if item["name"] == name)
    points = course(changed, line)
    place = int(generator.integers(1, len(points) - 1))
    first = deepcopy(line)
    first |= {"name": f"{name} first part", "to": "the turn"}
    first.pop("parts", None)
    line["from"] = "the turn"
    _set_course(first, points[: place + 1])
    _set_course(line, points[place:])
    if "bend_radius" in case["line"][0]:
        for part in (first, line):
            part.setdefault("bend_radius", case["line"][0]["bend_radius"])
    changed["line"].append(first)
    node = {"name": "the turn", "at": point(*points[place])}
    changed.setdefault("junction", []).append(node)
    return changed


def tee_as_junction(case: Case, generator: np.random.Generator) -> Case | None:
    """A tee written as a plain place."""
    if not case.get("tee"):
        return None
    changed = deepcopy(case)
    tee = changed["tee"].pop(int(generator.integers(len(changed["tee"]))))
    changed.setdefault("junction", []).append({"name": tee["name"], "at": tee["at"]})
    if not changed["tee"]:
        del changed["tee"]
    return changed


def _outlets(case: Case) -> set[str]:
    return {f"{tank['name']}.{one['name']}" for tank in case["tank"] for one in tank["outlet"]}


def all_positions(case: Case, generator: np.random.Generator) -> Case | None:
    """Every position that feeds is judged."""
    if "selector" not in case or "both" in case["selector"][0]["judged"]:
        return None
    changed = deepcopy(case)
    changed["selector"][0]["judged"].append("both")
    return changed


def _without(case: Case, *path: str) -> Case | None:
    changed = deepcopy(case)
    holder = changed
    for key in path[:-1]:
        if key not in holder:
            return None
        holder = holder[key]
    return changed if holder.pop(path[-1], None) is not None else None


def no_ground(case: Case, generator: np.random.Generator) -> Case | None:
    """The ground attitude left out."""
    return _without(case, "ground")


def no_level_speed(case: Case, generator: np.random.Generator) -> Case | None:
    """The level speed left out, where it is not above twice the climb speed."""
    flight = case["flight"]
    if "level_speed" not in flight:
        return None
    if _number(flight["level_speed"]) > 2 * _number(flight["climb_speed"]):
        return None
    return _without(case, "flight", "level_speed")


def no_acceleration(case: Case, generator: np.random.Generator) -> Case | None:
    """The take-off acceleration left out, where it is not above what is then assumed."""
    flight = case["flight"]
    if "acceleration" not in flight or _number(flight["acceleration"]) > 0.3:
        return None
    return _without(case, "flight", "acceleration")


def no_seat(case: Case, generator: np.random.Generator) -> Case | None:
    """The needle and seat left out of a carburettor: never a plain adequate."""
    carburettor = case["engine"].get("carburettor")
    if not carburettor or not carburettor.get("parts"):
        return None
    changed = deepcopy(case)
    parts = changed["engine"]["carburettor"]["parts"]
    changed["engine"]["carburettor"]["parts"] = [p for p in parts if p["part"] != "needle and seat"]
    return changed


def no_bypass(case: Case, generator: np.random.Generator) -> Case | None:
    """The blocked loss of a flow meter left out."""
    changed, found = deepcopy(case), False
    for line in changed["line"]:
        for part in line.get("parts", []):
            found |= part.pop("bypass_cv", None) is not None
    return changed if found else None


def no_drain(case: Case, generator: np.random.Generator) -> Case | None:
    """A drain left out."""
    changed = deepcopy(case)
    drains = changed.get("drain", [])
    if not drains:
        return None
    drains.pop(int(generator.integers(len(drains))))
    if not drains:
        del changed["drain"]
    return changed


def vent_unknown(case: Case, generator: np.random.Generator) -> Case | None:
    """How a tank breathes left out."""
    changed = deepcopy(case)
    del _pick(generator, changed["tank"])["vent"]
    return changed


def as_dips(case: Case, generator: np.random.Generator) -> Case | None:
    """A box known only by its dip table, made level."""
    changed, found = deepcopy(case), False
    for tank in changed["tank"]:
        if tank["shape"] != "box":
            continue
        (s0, b0, w0), (s1, b1, w1) = (numbers(corner) for corner in tank.pop("corners"))
        area = abs((s1 - s0) * (b1 - b0)) * tank.pop("fill_factor") * 0.016387064
        heights = np.linspace(0.0, abs(w1 - w0), 6)
        tank |= {
            "shape": "dips", "dip_at": point((s0 + s1) / 2, (b0 + b1) / 2, min(w0, w1)),
            "dip_pitch": case["flight"]["level_pitch"],
            "dips": [{"dip": inches(h), "quantity": f"{area * h:.9g} L"} for h in heights],
        }  # fmt: skip
        found = True
    level = _number(case["flight"]["level_pitch"])
    return changed if found and level == 0.0 else None


WORSE: dict[str, Rewrite] = {
    rewrite.__name__: rewrite
    for rewrite in (
        narrower_tube, narrower_place, narrow_end, dirtier_screen, less_unusable, more_loss,
        more_burn, higher, wider_temperatures, one_more_temperature, steeper, faster,
        all_positions, cut_at_a_bend, tee_as_junction, no_ground, no_level_speed, no_acceleration,
        no_seat, no_bypass, no_drain, vent_unknown, as_dips,
    )
}  # fmt: skip
