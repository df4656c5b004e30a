"""The part of the test card on one drain-down in place of several buckets."""

from flowsim.document.blocks import Block
from flowsim.document.build import heading, pairs, paragraph, table
from flowsim.document.words.telling import told
from flowsim.measures import VOLUME
from flowsim.reports.words.units import number, pitch_words, volume_words
from flowsim.studies.ground_test.plan_drain import replaces_words
from flowsim.studies.ground_test.result import GroundTestPlan
from flowsim.system.fuel_system import FuelSystem


def drain_card(system: FuelSystem, plan: GroundTestPlan) -> list[Block]:
    """Give the planned drain-down, its times at each mark and what it stands for."""
    drain = plan.drain
    if drain is None:
        return []
    setting = drain.setting
    fuel = "; ".join(
        f"{tank.name} {volume_words(quantity)}"
        for tank, quantity in zip(system.tanks, setting.quantities, strict=True)
    )
    rows = [
        ("attitude", pitch_words(setting.pitch)),
        ("selector", setting.position if system.selectors else "none"),
        ("fuel at start", fuel),
        ("drawn in all", volume_words(setting.volume)),
    ]
    where = f"at {setting.position}" if system.selectors else "of the system"
    times = [
        (
            VOLUME.cell(drawn, 2),
            number(expected, 0),
            f"{number(low, 0)}-{number(high, 0)}",
            "________",
        )
        for drawn, expected, low, high in zip(
            drain.drawn, drain.expected, drain.low, drain.high, strict=True
        )
    ]
    return [
        heading("One drain-down instead of buckets"),
        paragraph(
            "Let it run in one go into a marked container, or onto a scale, and read the time "
            "since the start at each mark, without stopping. It gives flow against head in one "
            "run, and a vent that closes bends it. Fill in column mark and seconds of the readings."
        ),
        pairs(rows, 5),
        table((f"drawn {VOLUME.name}", "expected s", "band s", "read s"), times),
        paragraph(f"{told(replaces_words(drain, where))}."),
    ]
