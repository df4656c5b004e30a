"""Which keys each part of a line takes; also the source of the list in the reference page."""

from dataclasses import dataclass

from flowsim.physics.losses.fitting_catalogue import CATALOGUE
from flowsim.system.parts import FINE_BOWL


@dataclass(frozen=True, slots=True)
class PartRule:
    """The keys of one kind of part, and what it is, in words."""

    needs: tuple[str, ...]
    takes: tuple[str, ...]
    words: str


_COEFFICIENTS = ("cv", "kv", "measured", "density", "viscosity")

BLOCKED = ("bypass_cv", "bypass_kv", "measured_blocked")
"""Ways to say what a meter passes when it is blocked; one at most."""

DEVICES: dict[str, PartRule] = {
    "flow meter": PartRule(
        (), (*_COEFFICIENTS, "bore", "band", *BLOCKED),
        "Flow sensor or meter, by one of cv, kv, measured; Cv 0.35 if none is given. What it "
        "passes when it is blocked, itself or by its bypass, by one of bypass_cv, bypass_kv, "
        "measured_blocked; without that `flowsim check` cannot tell.",
    ),
    "valve": PartRule(
        (), (*_COEFFICIENTS, "bore", "band"), "Any valve, by one of cv, kv, measured (required).",
    ),
    "small ball valve": PartRule(
        (), ("cv", "kv", "bore", "band"),
        "1/4 in full-port ball valve; Cv 3.2 if no coefficient is given.",
    ),
    "filter": PartRule(
        (), (*_COEFFICIENTS, "bore", "band"),
        "Paper or sintered filter, by one of measured, cv, kv (required): there is no usual value.",
    ),
    FINE_BOWL: PartRule(
        (), (*_COEFFICIENTS, "bore", "band"),
        "Bowl with a paper, felt or sintered element; Cv 0.39 if nothing is given, the most that "
        "one commercial specification lets a new one lose (A-A-52472A, read). Measure it. A bowl "
        "with a wire screen is a sediment bowl and a screen.",
    ),
    "restrictor": PartRule(
        ("bore",), ("discharge_coefficient", *_COEFFICIENTS, "band"),
        "Sharp restriction by its bore; discharge coefficient 0.61 if not given, or by cv, kv or "
        "measured.",
    ),
    "needle and seat": PartRule(
        ("bore",), ("discharge_coefficient", *_COEFFICIENTS, "band"),
        "Float valve, fully open, by the bore of its seat; as the restrictor. A measured flow is "
        "far better.",
    ),
    "screen": PartRule(
        ("area", "mesh", "wire"), ("clear_fraction", "band"),
        "Plain square woven screen; clear fraction 0.9 if not given.",
    ),
    "insert": PartRule(
        ("bore",), ("count", *_COEFFICIENTS, "k", "k_laminar", "band"),
        "Insert that holds a soft tube in its fitting, by its bore: a contraction into it and an "
        "expansion out of it, as a hose barb. Write one for each end.",
    ),
    "loss": PartRule(
        ("k",), ("k_laminar", "bore", "count", "band"),
        "A stated loss factor on the part's bore, the line's if not given.",
    ),
    "quadratic loss": PartRule(
        ("coefficient",), ("bore", "band"), "Head loss h = c Q^2 with a stated c.",
    ),
    "one-way valve": PartRule(
        ("cracking",), ("cv", "kv", "bore", "band"),
        "Check valve: passes only from the line's start to its end; cv or kv required: a lift "
        "check loses six times what a swing check does (Hooper, transcribed), so there is no "
        "usual value.",
    ),
    "tube": PartRule(
        ("length",), ("bore", "tube", "material", "roughness", "friction_factor"),
        "A piece of the line's length with another bore, given by bore or tube.",
    ),
    "hose": PartRule(
        ("length", "bore"), ("material", "roughness", "friction_factor"),
        "A piece of the line's length that is hose.",
    ),
    "bend": PartRule(
        ("angle", "radius"), ("bore", "count"),
        "A formed bend that the line's points do not show; the line's bore if not given.",
    ),
    "size change": PartRule(
        ("to",), ("bore",),
        "A square step from bore (the line's if not given) to another bore.",
    ),
}  # fmt: skip
"""Parts that are not fittings of the catalogue."""

FITTING = PartRule(
    (), ("bore", "count", "cv", "kv", "measured", "density", "viscosity", "k", "k_laminar", "band"),
    "A fitting of the catalogue; cv, kv, measured or k replace the catalogue's loss.",
)  # fmt: skip

EXCLUSIVE = ("cv", "kv", "measured", "k", "discharge_coefficient")
"""Ways to say the loss of a part; one at most."""


def known_parts() -> tuple[str, ...]:
    """Give every name that ``part`` may have.

    Returns
    -------
    tuple of str
        Fittings of the catalogue, then devices.
    """
    return (*CATALOGUE, *DEVICES)


def rule_of(part: str) -> PartRule:
    """Give the keys that a part takes.

    Parameters
    ----------
    part
        A known name.

    Returns
    -------
    PartRule
        Its keys and words.
    """
    return DEVICES.get(part, FITTING)
