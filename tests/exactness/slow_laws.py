"""The laws of ``docs/theory`` written a second time: scalars, any number type, nothing shared.

Nothing of ``flowsim.physics`` or ``flowsim.network.laws`` is used. Every function takes a ``lib``
(``math`` or ``mpmath.mp``), so that the same text serves the search in floats and the answer in
many digits.
"""

from collections.abc import Callable, Sequence
from typing import Any

from flowsim.network.elements import PlacedPart
from flowsim.system.parts import (
    Exit,
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Pipe,
    QuadraticLoss,
    Screen,
    Step,
)

G = 9.80665
WATER = 999.1
Number = Any
Law = Callable[[Number], Number]
"""Head [m] by flow [m3/s], odd in sign but not always in size."""


def darcy(reynolds: Number, roughness: Number, lib: Any) -> Number:
    """docs/theory/friction.md, the cautious law."""
    if reynolds <= 1900:
        return 64 / reynolds
    # Colebrook for x = 1/sqrt(f), by Newton's method from Blasius-like beginnings.
    a, b = roughness / lib.mpf("3.7"), lib.mpf("2.51") / reynolds
    per_ten = 2 / lib.log(10)
    x = lib.mpf(6)
    for _ in range(60):
        step = (x + per_ten * lib.log(a + b * x)) / (1 + per_ten * b / (a + b * x))
        x -= step
        if abs(step) <= 4 * lib.eps * abs(x):
            break
    colebrook = 1 / x**2
    if reynolds >= 2300:
        return colebrook
    t = lib.log(reynolds / 1900) / lib.log(lib.mpf(2300) / 1900)
    s = 3 * t**2 - 2 * t**3
    return lib.exp((1 - s) * lib.log(64 / reynolds) + s * lib.log(colebrook))


def exit_k(reynolds: Number, lib: Any) -> Number:
    """docs/theory/losses.md, "Where the line ends"."""
    if reynolds <= 1900:
        return lib.mpf(2)
    if reynolds >= 4000:
        return lib.mpf(1)
    t = lib.log(reynolds / 1900) / lib.log(lib.mpf(4000) / 1900)
    return lib.exp(lib.log(2) * (1 - 3 * t**2 + 2 * t**3))


def step_k(reynolds: Number, before: Number, behind: Number, lib: Any) -> Number:
    """docs/theory/losses.md, "Steps of bore": on the smaller bore."""
    small, large = min(before, behind), max(before, behind)
    if behind > before:
        a = (small / large) ** 2
        turbulent = (1 - a) ** 2
        laminar = 2 - 8 * a / 3 + 2 * a**2 / 3
    else:
        b = small / large
        jet = 1 + lib.mpf("0.622") * (1 - lib.mpf("0.215") * b**2 - lib.mpf("0.785") * b**5)
        turbulent = lib.mpf("0.0696") * (1 - b**5) * jet**2 + (jet - 1) ** 2
        laminar = 2 * turbulent
    over = lib.log(laminar / turbulent)
    width = max(lib.log(lib.mpf(4000) / 1900), 5 * over / 6)
    t = min(max(lib.log(reynolds / 1900) / width, 0), 1) if reynolds > 0 else 0
    return lib.exp(lib.log(turbulent) + over * (1 - 3 * t**2 + 2 * t**3))


def table(flows: Sequence[float], drops: Sequence[float], lib: Any) -> Law:
    """docs/theory/losses.md, "Measured table": drop [Pa] at a flow >= 0."""
    q = [lib.mpf(0), *(lib.mpf(x) for x in flows)]
    p = [lib.mpf(0), *(lib.mpf(x) for x in drops)]
    last = len(q) - 1
    secant = [(p[i + 1] - p[i]) / (q[i + 1] - q[i]) for i in range(last)]
    slope = [secant[0] / 2]
    for i in range(1, last):
        # The parabola through points i-1, i, i+1 (Lagrange), differentiated at i.
        left, right = q[i] - q[i - 1], q[i + 1] - q[i]
        value = (
            -p[i - 1] * right / (left * (left + right))
            + p[i] * (right - left) / (left * right)
            + p[i + 1] * left / (right * (left + right))
        )
        slope.append(min(value, lib.mpf(2.5) * min(secant[i - 1], secant[i])))
    if last == 1:
        slope.append(2 * secant[0])
    else:
        left, right = q[-2] - q[-3], q[-1] - q[-2]
        value = secant[-1] + (secant[-1] - secant[-2]) * right / (left + right)
        slope.append(min(max(value, secant[-1] / 2), lib.mpf(2.5) * secant[-1]))

    def hermite(flow: Number, ends: Sequence[Number]) -> Number:
        """Hermite's four basis polynomials between (q, p, slope) and (q, p, slope)."""
        q0, p0, m0, q1, p1, m1 = ends
        width = q1 - q0
        t = (flow - q0) / width
        return (
            (1 + 2 * t) * (1 - t) ** 2 * p0
            + t * (1 - t) ** 2 * width * m0
            + t**2 * (3 - 2 * t) * p1
            + t**2 * (t - 1) * width * m1
        )

    def through(flow: Number) -> tuple[Number, Number]:
        """Value and slope of the curve through the readings, at or behind the first of them."""
        if flow >= q[last]:
            over, bend = flow - q[last], p[last] / q[last] ** 2
            return p[last] + slope[last] * over + bend * over**2, slope[last] + 2 * bend * over
        i = max(k for k in range(last) if q[k] <= flow)
        ends = (q[i], p[i], slope[i], q[i + 1], p[i + 1], slope[i + 1])
        width = q[i + 1] - q[i]
        t = (flow - q[i]) / width
        steep = (
            6 * t * (1 - t) * (p[i + 1] - p[i]) / width
            + (1 - t) * (1 - 3 * t) * slope[i]
            + t * (3 * t - 2) * slope[i + 1]
        )
        return hermite(flow, ends), steep

    line, share = secant[0], lib.mpf("0.02")
    turn_from, turn_to = q[1], q[1]
    if slope[1] > line:
        turn_to = q[1] + share * (q[2] - q[1] if last > 1 else q[1])
    elif slope[1] < line:
        turn_from = (1 - share) * q[1]

    def drop(flow: Number) -> Number:
        if flow <= turn_from:
            return line * flow
        if flow < q[1]:
            return hermite(flow, (turn_from, line * turn_from, line, q[1], p[1], slope[1]))
        if flow < turn_to:
            value, steep = through(turn_to)
            return hermite(flow, (q[1], p[1], line, turn_to, value, steep))
        return through(flow)[0]

    return drop


def part_law(
    placed: PlacedPart,
    *,
    viscosity: Number,
    density: Number,
    screen_clear: float,
    loss: Number,
    laminar: Number,
    bore_factor: Number,
    friction: Number,
    lib: Any,
) -> Law:
    """Give the law of a placed part, without cracking pressure (a threshold of its link)."""
    part = placed.part
    share = lib.mpf(placed.share)
    if isinstance(part, Pipe) and part.friction_factor is None:
        bore = lib.mpf(part.bore) * bore_factor
        area = lib.pi * bore**2 / 4
        roughness = lib.mpf(part.roughness) / bore

        def pipe(flow: Number) -> Number:
            if flow == 0:
                return lib.mpf(0)
            speed = flow / area
            f = darcy(abs(speed) * bore / viscosity, roughness, lib)
            return friction * f * part.length / bore * speed * abs(speed) / (2 * G)

        return pipe
    if isinstance(part, Exit):
        area = lib.pi * lib.mpf(part.bore) ** 2 / 4
        sign = 1 if placed.direction >= 0 else -1

        def leaving(flow: Number) -> Number:
            if flow * sign <= 0:
                return lib.mpf(0)
            speed = abs(flow) / area
            k = exit_k(speed * part.bore / viscosity, lib)
            return sign * loss * k * speed**2 / (2 * G)

        return leaving
    if isinstance(part, Step):
        before, behind = lib.mpf(part.bore_from), lib.mpf(part.bore_to)
        small = min(before, behind)
        way = 1 if placed.direction >= 0 else -1

        def stepping(flow: Number) -> Number:
            if flow * way <= 0:
                return lib.mpf(0)
            speed = abs(flow) / (lib.pi * small**2 / 4)
            k = part.count * step_k(speed * small / viscosity, before, behind, lib)
            return way * loss * k * speed**2 / (2 * G)

        return stepping
    if isinstance(part, MeasuredDrop):
        drop = table(part.flows, part.drops, lib)

        thicker = lib.mpf(1)
        if part.viscosity is not None:
            thicker = viscosity / lib.mpf(part.viscosity)
            if part.viscosity_is_assumed:
                thicker = max(thicker, lib.mpf(1))

        def measured(flow: Number) -> Number:
            read = thicker**2 * drop(abs(flow) / thicker)
            head = loss * share * read / (lib.mpf(part.density) * G)
            return head if flow >= 0 else -head

        return measured
    a, b = _two_terms(part, viscosity, screen_clear, lib)
    a, b = a * loss * share, b * laminar * share

    def plain(flow: Number) -> Number:
        acts = placed.direction == 0 or placed.direction * flow > 0
        return (a * abs(flow) if acts else 0) * flow + b * flow

    return plain


def _two_terms(
    part: Any, viscosity: Number, screen_clear: float, lib: Any
) -> tuple[Number, Number]:
    """The table of docs/theory/losses.md: a [s2/m5], and b nu [s/m2]."""
    if isinstance(part, QuadraticLoss):
        return lib.mpf(part.coefficient), lib.mpf(0)
    if isinstance(part, Screen):
        n, d, s2 = lib.mpf(part.wires_per_metre), lib.mpf(part.wire_diameter), lib.mpf(part.area)
        dirty = part.clear_fraction if screen_clear != screen_clear else screen_clear
        clear = lib.mpf(min(part.clear_fraction, dirty))
        opening, thick = 1 / n - d, 2 * d
        s = lib.sqrt(1 + n**2 * d**2)
        e, alpha = 1 - lib.pi / 4 * n * d * s, lib.pi * n * s
        a = lib.mpf("0.52") * thick / (e**2 * opening * G * s2**2 * clear**2)
        return a, lib.mpf("8.61") * alpha**2 * thick / (e**2 * G * s2 * clear) * viscosity
    bore = lib.mpf(part.bore)
    area = lib.pi * bore**2 / 4
    if isinstance(part, MinorLoss):
        a = part.count * lib.mpf(part.k_inf) / (2 * G * area**2)
        return a, part.count * lib.mpf(part.k_laminar) / (2 * G * area * bore) * viscosity
    if isinstance(part, FlowCoefficient | OneWayValve):
        a = lib.mpf(100000) * 3600**2 / (lib.mpf(WATER) * G * lib.mpf(part.kv) ** 2)
        k1 = getattr(part, "k_laminar", 0.0)
        return a, lib.mpf(k1) / (2 * G * area * bore) * viscosity
    if isinstance(part, Orifice):
        a = 1 / (2 * G * area**2 * lib.mpf(part.discharge_coefficient) ** 2)
        return a, 25 / (2 * G * area * bore) * viscosity
    assert isinstance(part, Pipe)
    assert part.friction_factor is not None
    return lib.mpf(part.friction_factor) * part.length / bore / (2 * G * area**2), lib.mpf(0)
