"""Losses that nobody measured: each listed, with its tag, its share of the head and a remedy."""

from dataclasses import replace
from functools import cache

import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.network.assembly import assemble
from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import AdequacyResult, Unmeasured
from flowsim.studies.sampling.causes import uncertain_inputs
from flowsim.system.calibration import Calibration, PartFactors
from flowsim.system.tags import OWN, Tag
from tests.support.value_cases import ONE, TWO, read

MEASURED_BOWL = (
    '{ part = "sediment bowl", name = "bowl", bore = "7.5 mm" }',
    '{ part = "sediment bowl", name = "bowl", bore = "7.5 mm", measured = '
    '[{ flow = "20 L/h", drop = "80 Pa" }, { flow = "60 L/h", drop = "700 Pa" }], '
    'density = "720 kg/m3" }',
)


@cache
def judged(text: str, *changes: tuple[str, str]) -> AdequacyResult:
    return judge(read(text, *changes), nominal=True)


def catalogue(result: AdequacyResult) -> dict[str, Unmeasured]:
    return {item.part: item for item in result.unmeasured if item.tag in OWN}


class TestOfTheCatalogue:
    def test_every_loss_from_the_catalogue_is_listed_with_its_tag(self):
        found = {name: item.tag for name, item in catalogue(judged(ONE)).items()}
        assert found == {
            "needle and seat": Tag.ESTIMATE,
            "bowl": Tag.ESTIMATE,
            "hose end": Tag.ESTIMATE,
            "centre.rear entrance": Tag.PUBLISHED,
            "centre.rear strainer": Tag.ESTIMATE,  # 16 mesh: coarser than the law's data
            "bend 54 deg at point 2": Tag.PUBLISHED,
            "bend 42 deg at point 1": Tag.PUBLISHED,
            "bend 32 deg at floor": Tag.PUBLISHED,
            "centre fitting": Tag.PUBLISHED,
            "steps of bore": Tag.PUBLISHED,
        }

    def test_shares_and_losses_are_those_of_the_table(self):
        result = judged(ONE)
        rows = {row.part: row for path in result.losses for row in path.rows}
        found = catalogue(result)
        steps = found.pop("steps of bore")  # all of them are one thing
        all_steps = [
            row.share for path in result.losses for row in path.rows if "step" in told(row.part)
        ]
        assert len(all_steps) > 2
        assert steps.share == pytest.approx(sum(all_steps))
        assert steps.line == ""
        for name, item in found.items():
            assert item.share == pytest.approx(rows[name].share)
            assert item.loss == pytest.approx(rows[name].loss)
            assert item.line == rows[name].line

    def test_the_largest_share_comes_first(self):
        shares = [item.share for item in judged(ONE).unmeasured if item.share is not None]
        assert shares == sorted(shares, reverse=True)
        assert judged(ONE).unmeasured[0].part == "needle and seat"

    def test_each_says_what_would_measure_it(self):
        for item in judged(ONE).unmeasured:
            assert item.measure
        assert "bench" in catalogue(judged(ONE))["bowl"].measure

    def test_what_was_measured_is_not_listed(self):
        result = judged(ONE, MEASURED_BOWL)
        assert "bowl" not in catalogue(result)
        told = [words for words in all_told(result.assumptions) if words.startswith("bowl (")]
        assert all("readings" in words or "reading," in words for words in told)  # no catalogue
        assert result.not_measured.catalogue == judged(ONE).not_measured.catalogue - 1

    def test_the_halves_of_a_selector_are_one(self):
        result = judged(TWO)
        item = catalogue(result)["selector"]
        halves = [
            row.share for path in result.losses for row in path.rows if "selector" in told(row.part)
        ]
        assert len(halves) == 2
        assert item.share == pytest.approx(sum(halves))

    def test_what_is_not_on_the_deciding_way_has_no_share(self):
        result = judged(TWO)
        (side,) = {path.tank for path in result.losses}
        other = "right" if side == "left" else "left"
        item = catalogue(result)[f"{other} fitting"]
        assert item.share is None
        assert item.loss is None
        assert result.unmeasured.index(item) > result.unmeasured.index(
            catalogue(result)[f"{side} fitting"]
        )

    def test_they_stand_first_among_the_assumptions(self):
        words = all_told(judged(ONE).assumptions)
        assert words[0].startswith("needle and seat (carburettor): estimate, ")
        assert "% of the head" in words[0]
        assert "measured" in words[0]

    def test_a_builders_band_does_not_make_it_measured(self):
        banded = (
            '{ part = "sediment bowl", name = "bowl", bore = "7.5 mm" }',
            '{ part = "sediment bowl", name = "bowl", bore = "7.5 mm", band = [0.9, 1.1] }',
        )
        assert catalogue(judged(ONE, banded))["bowl"].tag is Tag.ESTIMATE


def test_a_ground_test_corrects_and_does_not_measure():
    base = read(ONE)
    assembly = assemble(base)
    keys = tuple(item.key for item in uncertain_inputs(assembly))
    (bowl,) = (p for p in assembly.network.placed if p.part.name == "bowl")
    factors = PartFactors(key=bowl.key, loss=1.2, laminar=1.0, bore=1.0)
    learned = Calibration(
        source="a test", keys=keys, scores=(0.0,) * len(keys), learned=(), directions=(),
        parts=(factors,),
    )  # fmt: skip
    result = judge(replace(base, calibration=learned), nominal=True)
    assert told(catalogue(result)["bowl"].source).endswith(
        "corrected with all others by a ground test"
    )
    assert "ground test" not in catalogue(result)["hose end"].source


class TestCounts:
    def test_the_share_of_the_head_is_that_of_the_dearest_way(self):
        result = judged(TWO)
        rows = [[row for row in path.rows if row.tag in OWN] for path in result.losses]
        most = max(sum(row.share for row in some) for some in rows)
        assert result.not_measured.catalogue_share == pytest.approx(most)
        assert 0.5 < most < 1.0

    def test_assumed_and_default_are_counted(self):
        assumed = ('burn = "18 L/h"', 'burn = { value = "18 L/h", from = "assumed" }')
        before, after = judged(ONE).not_measured, judged(ONE, assumed).not_measured
        assert after.assumed == before.assumed + 1
        assert after.not_said == before.not_said - 1
        assert before.default == sum(item.origin == "default" for item in read(ONE).provenance)

    def test_what_is_stated_without_saying_where_from_is_counted(self):
        said = ('burn = "18 L/h"', 'burn = { value = "18 L/h", from = "handbook" }')
        assert judged(ONE, said).not_measured.not_said == judged(ONE).not_measured.not_said - 1
        one = ('bore = "4 mm"', 'bore = { value = "4 mm", from = "measured" }')
        assert judged(ONE, one).not_measured.not_said == judged(ONE).not_measured.not_said - 1

    def test_a_place_counts_once(self):
        place = '["320 mm", "30 mm", "460 mm"]'
        said = '[{ value = "320 mm", from = "measured" }, "30 mm", "460 mm"]'
        said_of = (f'{{ value = "{n} mm", from = "measured" }}' for n in (320, 30, 460))
        wholly = f"[{', '.join(said_of)}]"
        before = judged(ONE).not_measured.not_said
        assert judged(ONE, (place, said)).not_measured.not_said == before
        assert judged(ONE, (place, wholly)).not_measured.not_said == before - 1


class TestDecisiveWithoutOrigin:
    def listed(self, *changes: tuple[str, str]) -> dict[str, Unmeasured]:
        result = judged(ONE, *changes)
        return {item.part: item for item in result.unmeasured if item.tag is Tag.NOT_SAID}

    def test_burn_climb_pitch_and_heights(self):
        found = self.listed()
        assert {"engine, burn", "flight, climb_pitch", "engine, inlet_at"} <= set(found)
        assert found["engine, burn"].share is None
        assert "maker" in told(found["engine, burn"].measure)

    def test_a_burn_of_a_handbook_is_not(self):
        said = ('burn = "18 L/h"', 'burn = { value = "18 L/h", from = "handbook" }')
        assert "engine, burn" not in self.listed(said)

    def test_a_stated_loss_that_costs_much_is(self):
        stated = ('bore = "7.5 mm" }', 'bore = "7.5 mm", k = 7 }')
        assert self.listed(stated)["bowl"].share > 0.05
        said = ('bore = "7.5 mm" }', 'bore = "7.5 mm", k = { value = 7, from = "measured" } }')
        assert "bowl" not in self.listed(said)

    def test_a_stated_loss_stays_listed_however_it_is_split(self):
        pieces = ", ".join(
            f'{{ part = "sediment bowl", name = "bowl {n}", bore = "7.5 mm", k = 0.7 }}'
            for n in range(10)
        )
        whole = '{ part = "sediment bowl", name = "bowl", bore = "7.5 mm" }'
        found = self.listed((whole, pieces))
        assert all(found[f"bowl {n}"].share < 0.05 for n in range(10))

    def test_a_stated_loss_that_costs_nothing_is_only_counted(self):
        stated = ('bore = "7.5 mm" }', 'bore = "7.5 mm", k = 0.01 }')
        assert "bowl" not in self.listed(stated)

    def test_a_hose_bore_that_costs_much_is(self):
        assert "forward" in self.listed()
        assert "measure the bore" in told(self.listed()["forward"].measure)
        said = ('hose_bore = "8.7 mm"', 'hose_bore = { value = "8.7 mm", from = "measured" }')
        assert "forward" not in self.listed(said)


def test_nothing_that_flows_has_no_shares_and_no_traceback():
    # The inlet above the tank: nothing arrives, so no part has a share of anything.
    high = ('inlet_at = ["300 mm", "30 mm", "450 mm"]', 'inlet_at = ["300 mm", "30 mm", "1700 mm"]')
    bowl = ('["320 mm", "30 mm", "460 mm"]', '["320 mm", "30 mm", "1710 mm"]')
    result = judged(ONE, high, bowl)
    assert result.losses == ()
    assert catalogue(result)
    assert all(item.share is None for item in result.unmeasured)
    assert result.not_measured.catalogue_share is None
