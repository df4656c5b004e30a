"""What is said of dirty screens: how clear they are, and that a dirtier one stays as stated."""

from dataclasses import replace

import pytest

from flowsim.document.words.telling import told
from flowsim.network.assembly import assemble
from flowsim.studies.judged.blocks import dirty_words
from flowsim.system.parts import Screen
from tests.support.systems import one_tank


@pytest.mark.parametrize(
    ("clear", "words"),
    [
        (None, "20 % clear"),
        (0.9, "20 % clear"),
        (0.2, "20 % clear"),
        (0.1, "20 % clear, or as stated where less"),
    ],
)
def test_a_screen_stated_dirtier_is_told_apart(clear, words):
    system = one_tank()
    if clear is not None:
        screen = Screen(
            name="finger", area=8e-4, wires_per_metre=630.0, wire_diameter=4.5e-4,
            clear_fraction=clear,
        )  # fmt: skip
        (wing,) = system.tanks
        outlet = replace(wing.outlets[0], screen=screen)
        system = replace(system, tanks=(replace(wing, outlets=(outlet,)),))
    assert told(dirty_words(assemble(system))) == words
