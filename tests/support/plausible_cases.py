"""Random plausible case files: what an amateur builder could have measured, all of it invented.

A case is a plain dictionary in the shape of the case file, so that it can be rewritten before it is
read; everything runs through the reader. Lengths are inches as numbers inside quoted text.
"""

from typing import Any

import numpy as np

Case = dict[str, Any]

TUBES = ("1/4 in x 0.035 in", "5/16 in x 0.035 in", "3/8 in x 0.035 in", "1/2 in x 0.035 in")
FITTING_BORES = ("0.172 in", "0.234 in", "0.297 in", "0.391 in")
BORES = (0.180, 0.2425, 0.305, 0.430)


def inches(value: float) -> str:
    """Write a length, with more digits than any builder has, so that rewritings are exact."""
    return f"{value:.9g} in"


def point(station: float, buttline: float, waterline: float) -> list[str]:
    """Write a point."""
    return [inches(station), inches(buttline), inches(waterline)]


def plausible_case(seed: int) -> Case:
    """Draw a case; the same seed gives the same case."""
    return _Drawer(np.random.default_rng([seed, 77])).case()


class _Drawer:
    """Holds the generator and what was decided for the whole case."""

    def __init__(self, generator: np.random.Generator) -> None:
        self.random = generator
        # Most are built with room to spare, so that there is something to spoil.
        self.generous = self.chance(0.85)
        self.two_tanks = self.chance(0.65)
        self.two_outlets = self.chance(0.45)
        self.size = int(self.random.choice([2, 2, 3] if self.generous else [0, 1, 2, 2, 2, 3]))
        self.low = float(self.random.uniform(66, 74))
        self.front = float(self.random.uniform(46, 54))
        self.chord = float(self.random.uniform(16, 28))
        self.depth = float(self.random.uniform(*((9, 14) if self.generous else (3.5, 7))))
        self.lines: list[Case] = []
        self.tees: list[Case] = []

    def chance(self, share: float) -> bool:
        return bool(self.random.random() < share)

    def pick(self, *values: Any) -> Any:
        return values[int(self.random.integers(len(values)))]

    def case(self) -> Case:
        inlet = (
            float(self.random.uniform(14, 30)),
            float(self.random.uniform(-3, 3)),
            float(self.random.uniform(12, 24 if self.generous else 40)),
        )
        case: Case = {
            "title": "Invented: a random plausible system",
            "fuel": self.fuel(),
            "engine": self.engine(inlet),
            "flight": self.flight(),
            "test": {
                "draw": f"{self.random.uniform(1, 4):.3f} L",
                "height_accuracy": f"{self.random.uniform(2, 8):.2f} mm",
            },
            "tank": [self.tank(side) for side in self.sides()],
        }
        ends = [self.from_tank(side) for side in self.sides()]
        self.join(ends, inlet, case)
        case["line"] = self.lines
        if self.tees:
            case["tee"] = self.tees
        if self.generous:
            case["ground"] = {"kind": "nosewheel", "pitch": f"{self.random.uniform(0, 2):.2f} deg"}
        elif self.chance(0.7):
            case["ground"] = {"kind": "tailwheel", "pitch": f"{self.random.uniform(9, 13):.2f} deg"}
        return case

    def sides(self) -> list[tuple[str, float]]:
        return [("port", -1.0), ("starboard", 1.0)] if self.two_tanks else [("centre", 1.0)]

    def fuel(self) -> Case:
        kind = self.pick("avgas 100LL", "motor gasoline summer", "avgas 100LL")
        cold, hot = self.random.uniform(-20, 5), self.random.uniform(20, 38)
        return {"kind": kind, "temperatures": [f"{cold:.2f} degC", f"{hot:.2f} degC"]}

    def engine(self, inlet: tuple[float, float, float]) -> Case:
        engine: Case = {
            "inlet_at": point(*inlet),
            "feed": "gravity",
            "burn": f"{self.pick(12, 18, 24, 30, 38) * self.random.uniform(0.7, 1.3):.4f} L/h",
            "burn_density": "0.72 kg/L",
        }
        if self.chance(0.5):
            engine["descent_burn"] = "8 L/h"
        parts: list[Case] = []
        if self.chance(0.5):
            parts.append(
                {
                    "part": "screen",
                    "name": "inlet screen",
                    "area": "0.8 in2",
                    "mesh": "60 /in",
                    "wire": "0.0075 in",
                    "clear_fraction": 0.9,
                }
            )
        if self.chance(0.85):
            bore = self.random.uniform(0.12, 0.2)
            parts.append({"part": "needle and seat", "bore": inches(bore)})
            level = (inlet[0] + 1.0, inlet[1], inlet[2] + float(self.random.uniform(-0.8, 0.6)))
            engine["carburettor"] = {"float_level_at": point(*level), "parts": parts}
        elif self.chance(0.4):
            engine["carburettor"] = {
                "least_inlet_pressure": f"{self.random.uniform(0.5, 3):.3f} kPa"
            }
        return engine

    def flight(self) -> Case:
        climb = self.random.uniform(7, 15)
        flight: Case = {
            "level_pitch": f"{self.random.choice([0, 0, 1, 2])} deg",
            "climb_pitch": f"{climb:.3f} deg",
            "climb_speed": f"{self.random.uniform(45, 70):.2f} kt",
            "level_speed": f"{self.random.uniform(80, 110):.2f} kt",
            "pressure_altitude": f"{self.random.uniform(1000, 9000):.0f} ft",
        }
        if self.chance(0.6):
            flight["descent_pitch"] = f"{-self.random.uniform(3, 8):.3f} deg"
        if self.chance(0.4):
            flight["acceleration"] = f"{self.random.uniform(0.15, 0.35):.3f} g0"
        return flight

    def tank(self, side: tuple[str, float]) -> Case:
        name, sign = side
        near, far = (18.0, 18.0 + self.random.uniform(28, 46)) if self.two_tanks else (-16.0, 16.0)
        low, top = self.low, self.low + self.depth
        rear = self.front + self.chord
        tank: Case = {"name": name}
        if self.two_tanks and self.chance(0.5):
            tank["shape"] = "lofted"
            section = [(self.front, low), (rear, low), (rear, top - 0.8), (self.front, top)]
            tank["root"] = [point(s, sign * near, w) for s, w in section]
            tank["tip"] = [point(s, sign * far, w + 2.2) for s, w in section]
        else:
            tank["shape"] = "box"
            tank["corners"] = [point(self.front, sign * near, low), point(rear, sign * far, top)]
        volume = self.chord * self.depth * (far - near) * 0.0163871
        unusable, takeoff = (0.02, 0.14), (0.2, 0.35)
        if self.generous:
            unusable, takeoff = (0.3, 0.45), (0.5, 0.65)
            tank["sump_at"] = point(rear, sign * near if self.two_tanks else 0.0, low)
        tank |= {
            "fill_factor": 0.97,
            "unusable": f"{self.random.uniform(*unusable) * volume:.4f} L",
            "least_takeoff": f"{self.random.uniform(*takeoff) * volume:.4f} L",
            "vent": self.vent(),
        }
        across = sign * (near + 0.6) if self.two_tanks else 0.0
        places = [("rear", rear - 0.7)]
        if self.two_outlets:
            places.append(("front", self.front + 0.7))
        tank["outlet"] = [
            {
                "name": outlet,
                "at": point(station, across, low + self.random.uniform(0.0, 0.3)),
                "bore": inches(BORES[self.size]),
                "style": self.pick("flush", "standpipe"),
                "screen": {
                    "area": "1.6 in2",
                    "mesh": "16 /in",
                    "wire": "0.018 in",
                    "clear_fraction": 0.9,
                },
            }
            for outlet, station in places
        ]
        return tank

    def vent(self) -> Case:
        kind = self.pick("forward", "forward", "flush", "cap")
        # Two draws of one airspace must agree, so the group is left to the tank's own name.
        return {"kind": kind}

    def from_tank(self, side: tuple[str, float]) -> tuple[str, tuple[float, float, float]]:
        """Lines from the outlets down to the top of the post; gives the node and its place."""
        name, sign = side
        across = sign * 21.0 if self.two_tanks else 4.0
        rear = self.front + self.chord
        below = float(self.random.uniform(*((8, 12) if self.generous else (4, 9))))
        top = (rear + 3.0, across, self.low - below)
        if not self.two_outlets:
            return f"{name}.rear", top
        tee = f"{name} tee"
        run, branch = f"{name} front", f"{name} rear"
        self.line(run, f"{name}.front", tee, via=[(self.front + 3, across, self.low - 2.5)])
        self.line(branch, f"{name}.rear", tee)
        bore = FITTING_BORES[max(0, self.size - int(self.chance(0.15)))]
        self.tees.append(
            {
                "name": tee,
                "at": point(*top),
                "run": [run, f"{name} down"],
                "branch": branch,
                "common": f"{name} down",
                "bore": bore,
            }
        )
        return tee, top

    def line(
        self,
        name: str,
        start: str,
        end: str,
        *,
        via: list[tuple[float, float, float]] | None = None,
        hose: bool = False,
    ) -> Case:
        line: Case = {"name": name, "from": start, "to": end}
        if hose:
            line |= {"hose_bore": inches(BORES[self.size] + 0.04), "material": "rubber hose"}
        else:
            line |= {"tube": TUBES[self.size], "material": "aluminium tube"}
        if via:
            line |= {"via": [point(*place) for place in via], "bend_radius": "0.9 in"}
        else:
            line["straight"] = True
        parts = self.parts()
        if parts:
            line["parts"] = parts
        self.lines.append(line)
        return line

    def parts(self) -> list[Case]:
        found: list[Case] = []
        bore = FITTING_BORES[self.size]
        if self.chance(0.5):
            kind = self.pick("elbow 90", "elbow 45")
            found.append(
                {
                    "part": kind,
                    "name": f"{kind} fitting",
                    "bore": bore,
                    "count": int(self.random.integers(1, 3)),
                }
            )
        if self.chance(0.4):
            found.append({"part": "straight union", "name": "union"})
        if self.chance(0.12):
            length = float(self.random.uniform(0.5, 2.0))
            found.append(
                {
                    "part": "tube",
                    "name": "short piece",
                    "length": inches(length),
                    "bore": inches(self.pick(*BORES)),
                }
            )
        if self.chance(0.08):
            flow, drop = float(self.random.uniform(20, 60)), float(self.random.uniform(0.3, 1.5))
            if self.generous:
                flow = 2.0 * flow
            readings = [
                {"flow": f"{share * flow:.4f} L/h", "drop": f"{share**1.8 * drop:.5f} kPa"}
                for share in ((1.0,) if self.chance(0.3) else (0.4, 1.0))
            ]
            found.append({"part": "valve", "name": "valve on the bench", "measured": readings})
        if self.chance(0.1):
            found.append(
                {
                    "part": "valve",
                    "name": "valve by its Cv",
                    "cv": round(float(self.random.uniform(1, 4)), 3),
                }
            )
        return found

    def join(self, ends: list[Any], inlet: tuple[float, float, float], case: Case) -> None:
        bottom = float(self.random.uniform(8, 18))
        middle = (float(self.random.uniform(58, 66)), 0.0, bottom + 6)
        bowl = (float(self.random.uniform(24, 32)), 4.0, bottom - 2)
        feed_via, drop = (50.0, 2.0, bottom + 2), bottom + 14
        if self.generous:  # every line falls in every attitude, to the bowl
            bowl = (bowl[0], bowl[1], inlet[2] - float(self.random.uniform(5, 8)))
            feed_via = (50.0, 2.0, bowl[2] + float(self.random.uniform(11, 13)))
            middle = (middle[0], 0.0, feed_via[2] + float(self.random.uniform(6, 8)))
            drop = middle[2] + 12
        for (name, _), (node, top) in zip(self.sides(), ends, strict=True):
            across = top[1]
            via = [(top[0] + 1.0, across, top[2] - 6), (top[0] + 1.0, across, drop)]
            if not self.two_outlets:
                via[0] = (top[0], across, top[2])
            if self.chance(0.04 if self.generous else 0.12):  # over something and down again
                high = float(self.random.uniform(-3, 5))
                via.append((top[0] - 6, across * 0.6, drop + high))
            self.line(f"{name} down", node, "selector", via=via)
        if self.two_tanks and self.chance(0.75):
            case["selector"] = [self.selector(middle)]
        elif self.two_tanks:
            run = ["port down", "starboard down"]
            tee = {
                "name": "selector",
                "at": point(*middle),
                "run": run,
                "branch": "feed",
                "common": "feed",
                "bore": FITTING_BORES[self.size],
            }
            self.tees.append(tee)
        else:
            case["junction"] = [{"name": "selector", "at": point(*middle)}]
        case.setdefault("junction", []).append({"name": "bowl", "at": point(*bowl)})
        via = [feed_via]
        if not self.generous and self.chance(0.1):
            self.header(case, middle, bowl)
            return
        if not self.generous and self.chance(0.15):
            via.append((42.0, 4.0, bottom + float(self.random.uniform(-1, 5))))
        feed = self.line("feed", "selector", "bowl", via=via)
        own: Case = {"part": "sediment bowl", "name": "bowl", "bore": FITTING_BORES[self.size]}
        if self.generous and self.chance(0.4):  # on the bench, with the drop that was read
            drop = float(self.random.uniform(0.1, 0.4))
            own["measured"] = [
                {
                    "flow": f"{60 * share:.4f} L/h",
                    "drop": {
                        "value": f"{share**1.8 * drop:.5f} kPa",
                        "from": "measured",
                        "accuracy": f"{0.1 * share**1.8 * drop:.5f} kPa",
                    },
                }
                for share in (0.3, 0.6, 1.0)
            ]
        feed.setdefault("parts", []).append(own)
        if self.chance(0.2):
            feed["parts"].append(
                {
                    "part": "flow meter",
                    "name": "flow meter",
                    "bypass_cv": round(
                        (2 if self.generous else 1) * float(self.random.uniform(0.2, 0.5)), 3
                    ),
                }
            )
        self.line("engine hose", "bowl", "engine", hose=True)
        case["drain"] = [{"name": "bowl drain", "reaches": "bowl"}]
        if self.chance(0.5):
            case["drain"].append({"name": "selector drain", "reaches": "selector"})
        if self.generous:
            case["drain"] += [
                {"name": f"{tank['name']} drain", "reaches": tank["name"]} for tank in case["tank"]
            ]

    def header(self, case: Case, middle: tuple[float, float, float], bowl: Any) -> None:
        """Put a header tank between the selector and the bowl."""
        low = middle[2] - float(self.random.uniform(6.5, 8.0))
        high = low + float(self.random.uniform(4.0, 6.0))
        corners = [point(44, -5, low), point(56, 5, high)]
        litres = 12 * 10 * (high - low) * 0.0163871
        ports = [("in", (55.0, 0.0, high - 0.3)), ("out", (45.0, 0.0, low + 0.1))]
        case["tank"].append(
            {
                "name": "header",
                "shape": "box",
                "corners": corners,
                "fill_factor": 0.98,
                "unusable": f"{0.1 * litres:.4f} L",
                "least_takeoff": f"{0.9 * litres:.4f} L",
                "vent": {"kind": "flush"},
                "outlet": [
                    {"name": name, "at": point(*place), "bore": inches(BORES[self.size])}
                    for name, place in ports
                ],
            }
        )
        self.line("feed", "selector", "header.in")
        self.line("header feed", "header.out", "bowl")
        self.line("engine hose", "bowl", "engine", hose=True)
        case["drain"] = [{"name": "bowl drain", "reaches": "bowl"}]

    def selector(self, middle: tuple[float, float, float]) -> Case:
        judged = ["port", "starboard"] + (["both"] if self.chance(0.6) else [])
        return {
            "name": "selector",
            "at": point(*middle),
            "ports": {"port": "port down", "starboard": "starboard down"},
            "outlet": "feed",
            "positions": {
                "port": ["port"],
                "starboard": ["starboard"],
                "both": ["port", "starboard"],
                "off": [],
            },
            "judged": judged,
            "loss": {"part": "selector", "bore": inches(BORES[self.size])},
        }
