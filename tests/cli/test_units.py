"""Every command in US units, in metric and in both: nothing of the other system, same figures.

What a case says in its own words stays (a tube's size, a stated value), and so do quoted sources
and the working of the hand check, which is in SI.
"""

import re
import tomllib
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from flowsim import measures
from flowsim.files.case.unit_choice import choice_of_text
from flowsim.measures import KNOT, UnitChoice, Units, airspeed_words, chosen
from tests.cli.conftest import Said
from tests.support.every_command import CASES, commands

METRIC = ("mm", "mL", "L/h", "L", "kg/h", "kg/m3", "kg", "g", "kPa", "degC", "m/s", "um", "mm2")
US = ("in", "US fl oz", "US gal/h", "US gal", "lb/h", "lb/US gal", "lb", "oz", "psi", "degF",
      "ft/s", "ft", "microinch", "in2")  # fmt: skip
NUMBER = r"-?\d[\d.]*(?:e-?\d+)?"
SHEET = re.compile(
    r"\s+(source|second opinion)\b|     \S.* = |  (rho|Outlet|End|Fuel surface|Head available|"
    r"Elevation)\b|Constants"
)
"""Lines of the hand check that quote or are worked in SI; what is set in below goes with them."""
QUICK = ("humps", "nose-high", "one-tank")
SLOW = {"four-outlets": ("routing", "hand-check", "ground-test leak", "flight")}
WALK = [
    *((name, command) for name in QUICK for command in commands(name)),
    *((name, command) for name, some in SLOW.items() for command in some),
]
PAIRS = [
    (measure.metric, measure.us)
    for measure in vars(measures).values()
    if isinstance(measure, measures.Measure)
]


def units_of(text: str, units: tuple[str, ...]) -> list[str]:
    """Give every figure with one of the units, and every column that is headed by one."""
    one = "|".join(re.escape(unit) for unit in sorted(units, key=len, reverse=True))
    figures = re.findall(rf"(?<![\w./:-]){NUMBER} (?:{one})(?![\w/2])", text)
    heads = re.findall(rf"(?:, |[a-z] |\[)(?:{one})(?=\s{{2,}}|\n|\])(?![\w/])", text)
    return figures + [head for head in heads if head[-3:] not in (" in", " g", " L")]


def quoted(name: str) -> set[str]:
    """Give every text of a case that may be quoted."""

    def texts(value: Any) -> Iterator[str]:
        if isinstance(value, str):
            yield " ".join(value.split())
        elif isinstance(value, dict):
            for inner in value.values():
                yield from texts(inner)
        elif isinstance(value, list):
            for inner in value:
                yield from texts(inner)

    data = tomllib.loads(CASES[name].read_text(encoding="utf-8"))
    return {text for text in texts(data) if re.search(r"\d", text)}


def without_quotes(text: str, name: str) -> str:
    """Take out sources, working in SI, names of tubes, and the case's own words."""
    lines: list[str] = []
    skipped = None
    for line in text.splitlines():
        indent = len(line) - len(line.lstrip())
        skipped = None if skipped is not None and indent <= skipped else skipped
        if skipped is None and SHEET.match(line):
            skipped = indent
        if skipped is None:
            lines.append(line)
    text = "\n".join(lines)
    text = re.sub(r"\d[\d/]*(\s+mm|\s+in)?\s+x\s+[\d.]+\s+(in|mm)", "SIZE", text)
    text = re.sub(r"\((?:density|catalogue|ASTM|AC|14 CFR)[^()]*(?:\([^()]*\)[^()]*)*\)", "", text)
    text = re.sub(r"\d[\d.]* g0?\b(?= forward| \(|,|;|\n)|at \d\.\d+ g\b", "PULL", text)
    for said in sorted(quoted(name) | quoted("one-tank"), key=len, reverse=True):
        words = r"\s+".join(re.escape(word) for word in said.split())
        text = re.sub(rf"(?<![\w.]){words}(?![\w.])", "SAID", text)
    return text


@pytest.fixture
def said(run: Callable[..., Said]) -> Callable[..., str]:
    def call(name: str, command: str, *options: str) -> str:
        answer = run(*commands(name)[command], "--width", "100", *options)
        assert answer.out, answer.err
        return answer.out

    return call


@pytest.mark.parametrize(("name", "command"), WALK)
def test_no_unit_of_the_other_system_and_the_same_figures(said, name, command):
    us, metric = (said(name, command, "--units", unit) for unit in ("us", "metric"))
    assert not units_of(without_quotes(us, name), METRIC)
    assert not units_of(without_quotes(metric, name), US)
    assert units_of(us, US) or units_of(metric, METRIC) or "No line joins" in us
    first, second = (figures(without_quotes(text, name)) for text in (us, metric))
    for one, others in ((first, second), (second, first)):
        lost = [number for number in one - others if not any(
            converts(number, other) or converts(other, number) for other in others)]  # fmt: skip
        assert not lost


def figures(text: str) -> set[str]:
    """Give every number of a text but the times to fill a container of the one system."""
    text = re.sub(r"[12] (?:L|US quarts) in [\d.]+ s|225 x cups|8 oz|3600|3\.6 x", "", text)
    return {number.rstrip(".") for number in re.findall(rf"(?<![\w.]){NUMBER}(?!\w)", text)}


def converts(us: str, metric: str) -> bool:
    """Tell whether two numbers are one figure in two units, as closely as they are printed."""
    a, b = float(us), float(metric)
    for in_metric, in_us in PAIRS:
        # Half a unit of the last digit on either side, both in SI.
        room = half(us) * in_us.worth + half(metric) * in_metric.worth
        if abs((a * in_us.worth + in_us.zero) - (b * in_metric.worth + in_metric.zero)) <= (
            1.0001 * room
        ):
            return True
    return False


def half(text: str) -> float:
    """Give half a unit of a number's last digit."""
    mantissa, _, power = text.partition("e")
    decimals = len(mantissa.partition(".")[2])
    return 0.51 * 10.0 ** (int(power or 0) - decimals)


@pytest.mark.parametrize("name", QUICK)
def test_both_says_both(said, name):
    text = said(name, "check --full", "--units", "both")
    assert re.search(r"[\d.]+ mm \([\d.]+ in\)", text)
    assert re.search(r"[\d.]+ kg/h, [\d.]+ L/h \([\d.]+ lb/h, [\d.]+ US gal/h\)", text)


LENGTHS_US = '[[line]]\nvia = ["1 in", "2 ft", "3/8 in"]\n'


class TestWhatIsChosen:
    @pytest.mark.parametrize(
        ("text", "sentences", "tables"),
        [
            ('a = ["10 mm", "2 m", "5 L", "4 cm", "1 in"]', Units.METRIC, Units.METRIC),
            (LENGTHS_US, Units.US, Units.US),
            ('a = ["1 in", "2 in", "3 mm"]', Units.BOTH, Units.US),
            ('a = ["1 in", "2 mm"]', Units.BOTH, Units.METRIC),
            ('title = "10 mm"\na = "2 in"', Units.US, Units.US),
            ('units = "metric"\na = "2 in"', Units.METRIC, Units.METRIC),
            ('units = "both"\na = "2 in"', Units.BOTH, Units.US),
            ("", Units.BOTH, Units.METRIC),
            ('a = "2 in"\nb = "', Units.US, Units.US),
        ],
    )
    def test_by_four_in_five_of_lengths_and_volumes(self, text, sentences, tables):
        found = choice_of_text(text)
        assert (found.sentences, found.tables) == (sentences, tables)

    def test_the_option_goes_before_the_key(self):
        assert choice_of_text('units = "metric"', "us").sentences is Units.US

    def test_airspeeds_as_written(self):
        with chosen(choice_of_text('a = "60 mph"')):
            assert airspeed_words(100.0 * KNOT) == "115.1 mph"
        with chosen(UnitChoice()):
            assert airspeed_words(100.0 * KNOT) == "100.0 kt"

    def test_a_key_that_is_no_system_is_refused(self, case, run):
        case.write_text('units = "imperial"\n' + case.read_text(encoding="utf-8"), "utf-8")
        answer = run("check", case)
        assert answer.code == 4
        assert "units" in answer.err
        assert "metric" in answer.err

    def test_json_does_not_follow(self, case, run):
        one, other = (run("check", case, "--nominal", "--json", "--units", unit)
                      for unit in ("us", "metric"))  # fmt: skip
        assert one.out == other.out
