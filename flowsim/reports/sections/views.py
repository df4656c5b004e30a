"""Views in true proportion, side and top, from the case's coordinates."""

import numpy as np

from flowsim.document.blocks import Figure
from flowsim.document.pictures import Chain, View, ViewLine, ViewPoint, ViewTank
from flowsim.files.units import shown as to
from flowsim.measures import LENGTH
from flowsim.reports.sections.kit import mm
from flowsim.reports.words.units import pitch_words
from flowsim.studies.report.collect import ReportStudy
from flowsim.studies.report.tilted import FuelSeen, Outline, fuel_seen, tank_outlines

TEST_STATE = "test quantity"


def side_view(study: ReportStudy, pitch: float, name: str) -> Figure:
    """Draw the system from the left side at a pitch [rad], with the fuel of the test quantity."""
    seen = fuel_seen(study.assembly, test_quantities(study), pitch)
    words = pitch_words(pitch)
    named = words if words.startswith(name) else f"{words} ({name})"
    return Figure(
        caption=f"Side view, nose to the left, {named}, test quantity in the tanks.",
        alt=f"Side view at {words}. " + _surfaces_words(seen),
        picture=side(study, pitch, seen, f"side view, {words}"),
    )


def top_view(study: ReportStudy) -> Figure:
    """Draw the system from above."""
    outlines = tank_outlines(study.assembly, (0, 1))
    tanks = tuple(
        ViewTank(name=tank.name, outline=chain(outline), fuel=(), surface=())
        for tank, outline in zip(study.system.tanks, outlines, strict=True)
    )
    picture = View(
        view="top", title="top view", pitch_deg=0.0, tanks=tanks,
        lines=_lines(study, (0, 1)), points=_points(study, (0, 1)),
    )  # fmt: skip
    names = ", ".join(tank.name for tank in study.system.tanks)
    return Figure(
        caption="Top view, nose to the left, right side at the foot.",
        alt=f"Top view with tanks {names} and the course of every line.",
        picture=picture,
    )


def side(study: ReportStudy, pitch: float, seen: tuple[FuelSeen, ...], title: str) -> View:
    """Give the side view's numbers."""
    outlines = tank_outlines(study.assembly, (0, 2))
    tanks = tuple(
        ViewTank(
            name=item.tank,
            outline=chain(outline),
            fuel=chain(item.outline),
            surface=chain(item.line),
        )
        for item, outline in zip(seen, outlines, strict=True)
    )
    return View(
        view="side",
        title=title,
        pitch_deg=round(to.degrees(pitch), 2),
        tanks=tanks,
        lines=_lines(study, (0, 2)),
        points=_points(study, (0, 2)),
    )


def test_quantities(study: ReportStudy) -> tuple[float, ...]:
    """Give the quantities [m3] of the test, tank by tank."""
    draw = study.system.test_draw
    return tuple(
        0.0 if tank.unusable is None else tank.unusable + draw for tank in study.system.tanks
    )


def chain(outline: Outline) -> Chain:
    """Give an outline [m] in mm."""
    return tuple((mm(x), mm(y)) for x, y in outline)


def _lines(study: ReportStudy, axes: tuple[int, int]) -> tuple[ViewLine, ...]:
    made = []
    for line, stations in zip(study.system.lines, study.assembly.stations, strict=True):
        course = np.asarray(stations)[:, list(axes)]
        made.append(
            ViewLine(
                name=line.name,
                course=tuple((mm(x), mm(y)) for x, y in course.tolist()),
                known=line.route is not None,
            )
        )
    return tuple(made)


def _points(study: ReportStudy, axes: tuple[int, int]) -> tuple[ViewPoint, ...]:
    places = list(study.system.places().items())
    carburettor = study.system.engine.carburettor
    if carburettor is not None and carburettor.float_level is not None:
        places.append(("float level", carburettor.float_level))
    return tuple(ViewPoint(name=name, at=(mm(at[axes[0]]), mm(at[axes[1]]))) for name, at in places)


def _surfaces_words(seen: tuple[FuelSeen, ...]) -> str:
    said = [
        f"fuel surface of {item.tank} {LENGTH.words(item.surface, 0)} above the datum"
        for item in seen
    ]
    return "; ".join(said) + "."
