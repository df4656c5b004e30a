"""A stated friction factor that no pipe has at the flow that is needed settles nothing."""

from dataclasses import replace

from flowsim.document.words.telling import all_told
from flowsim.files.case.reader import read_case
from flowsim.network.assembly import assemble
from flowsim.studies.adequacy.brief import judged_table
from flowsim.studies.judged.sweep import sweep_of
from flowsim.studies.result import Verdict
from flowsim.studies.verdict.judging import judge_lines
from flowsim.system.parts import Pipe
from tests.support.output_samples import CASES


def words_and_verdicts(factor):
    system = read_case(CASES["one-tank"])
    lines = tuple(
        replace(
            line,
            parts=tuple(
                replace(part, friction_factor=factor) if isinstance(part, Pipe) else part
                for part in line.parts
            ),
        )
        for line in system.lines
    )
    assembly = assemble(replace(system, lines=lines))
    found = judge_lines(sweep_of(assembly, judged_table(assembly)), None)
    words = " ".join(reason for line in found for reason in all_told(line.reasons))
    return {line.verdict for line in found}, words


def test_a_factor_below_every_pipes_cannot_be_told():
    verdicts, words = words_and_verdicts(0.02)
    assert Verdict.ADEQUATE not in verdicts
    assert "leave friction_factor out" in words


def test_a_factor_that_a_pipe_may_have_is_taken():
    assert words_and_verdicts(0.1) == ({Verdict.ADEQUATE}, "")
