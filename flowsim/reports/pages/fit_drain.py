"""The part of ``ground-test fit`` on timed drain-downs: flow against head, and the vent."""

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, paragraph, table
from flowsim.measures import LENGTH, MASS_FLOW, VOLUME
from flowsim.reports.words.units import clean, mass_flow_cell
from flowsim.studies.ground_test.drain_down import DrainDown, DrainStretch


def drain_blocks(drains: tuple[DrainDown, ...]) -> list[Block]:
    """Give the curve of each drain-down and what it says of the vents; nothing without one."""
    blocks: list[Block] = []
    for drain in drains:
        blocks += [
            heading(clean(f"Drain-down {drain.name}: flow against head")),
            paragraph(
                "Head: from the lowest surface that feeds down to the line's end, in the middle of "
                "the stretch. +-: one standard deviation of a stretch by itself; marks are common "
                "to two stretches, and the fit knows it."
            ),
            table(
                (
                    f"drawn {VOLUME.name}",
                    f"head {LENGTH.name}",
                    f"flow {MASS_FLOW.name}",
                    "+-",
                    "case",
                    "after",
                ),
                [_row(stretch) for stretch in drain.stretches],
            ),
            bullets(f"Vent: {clean(vent.words)}." for vent in drain.vents),
        ]
    return blocks


def _row(stretch: DrainStretch) -> tuple[str, ...]:
    return (
        VOLUME.cell(stretch.drawn, 2),
        LENGTH.cell(stretch.head, 1),
        mass_flow_cell(stretch.flow, 2),
        MASS_FLOW.cell(stretch.flow_error, 2),
        mass_flow_cell(stretch.expected, 2),
        mass_flow_cell(stretch.after, 2),
    )
