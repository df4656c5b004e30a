"""The bound with every band at its cautious end: no draw gives less."""

from flowsim.network.assembly import assemble
from flowsim.studies.adequacy.brief import judged_table
from flowsim.studies.joint.cautious_bound import cautious_ratios
from flowsim.studies.joint.study import joint_ratios
from flowsim.studies.judged.sweep import sweep_of
from flowsim.studies.sampling.draws import draw
from tests.support.systems import two_tanks


def test_no_draw_gives_less_than_the_bound():
    assembly = assemble(two_tanks())
    swept = sweep_of(assembly, judged_table(assembly))
    rows = swept.judged_rows[:: max(1, len(swept.judged_rows) // 12)]
    bound = cautious_ratios(swept, rows)
    found = joint_ratios(swept, rows, draw(assembly, 64, 3)).trapped.min(axis=0)
    assert (bound <= found + 1e-6).all()
    assert (bound < swept.ratio[rows]).any()
