"""The part of the validation page on predictions that one measured run has corrected."""

from collections.abc import Iterator, Sequence

import numpy as np

from tests.support.measured_rigs import (
    GOAL,
    Prediction,
    all_fitted,
    dosing_tube_predictions,
    drain_down_predictions,
)

HEADING = "From prediction to calibrated prediction"
WORDS = f"""\
Every run of a rig is predicted from its geometry alone; then one other run is fitted as
`ground-test fit` does, and the prediction made again. Figures are the predicted flow over the
measured one, less one: above zero is the unsafe direction. The goal is {GOAL:g} % after one run; it
is printed whether it is met or not.
"""


def within_goal(values: Sequence[float]) -> int:
    """Count differences [%] within the goal."""
    return sum(abs(value) <= GOAL for value in values)


def goal_words(predictions: tuple[Prediction, ...]) -> str:
    """Say how often the goal is met."""
    found = list(all_fitted(predictions))
    many = within_goal(found)
    word = "met" if many == len(found) else "not met"
    return f"{many} of {len(found)} corrected predictions lie within {GOAL:g} %: the goal is {word}"


def section() -> str:
    """Give the whole part."""
    parts = [f"## {HEADING}\n", WORDS]
    parts += _rig(
        "The drain-down (folder `drain_down`)",
        drain_down_predictions(),
        tuple(f"after the {one.name} tube" for one in drain_down_predictions()),
        "tube",
        "The times themselves fit no smooth law better than 7 %, so no single run can bring the "
        "others to within 5 %: fitted on a tube that drained late or early for its length, the "
        "others come out late or early.",
    )
    dosing = dosing_tube_predictions()
    parts += _rig(
        "The dosing tube (folder `dosing_tube`)",
        dosing,
        (
            "after the least head",
            f"after {dosing[len(dosing) // 2].name}",
            "after the largest head",
        ),
        "head",
        "What is missing from this case are its fittings, so one run mends most of it. A run at "
        "the largest head, where fittings cost most, mends more than one at the least: the run "
        "nearest to the flow that is asked for teaches most.",
    )
    return "\n".join(parts)


def _rig(
    title: str,
    predictions: tuple[Prediction, ...],
    after: tuple[str, ...],
    what: str,
    remark: str,
) -> Iterator[str]:
    yield f"### {title}\n"
    unit = "s" if predictions[0].seconds else "mL/min"
    yield (
        f"| {what} | measured, {unit} | geometry alone | in the 90 % band | {' | '.join(after)} |"
    )
    yield "|" + "---|" * (4 + len(after))
    for one in predictions:
        inside = "yes" if one.low <= one.measured <= one.high else "no"
        fitted = " | ".join(_percent(one.percent(value)) for value in one.fitted)
        yield (
            f"| {one.name} | {one.measured:.4g} | {_percent(one.percent(one.expected))} | {inside} "
            f"| {fitted} |"
        )
    geometry = [one.percent(one.expected) for one in predictions]
    yield (
        f"\nFrom geometry alone {within_goal(geometry)} of {len(geometry)} lie within {GOAL:g} %. "
        f"After one run {goal_words(predictions)}. {remark}\n"
    )


def _percent(value: float) -> str:
    return "fitted" if np.isnan(value) else f"{value:+.1f} %"
