"""The open lines as a tree, on graphs drawn by hand."""

import numpy as np

from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.elements import Link, Network
from flowsim.network.tree import feeding_tree

BOTH = FORWARD | BACKWARD
NAMES = ("left", "right", "tee", "foot", "inlet", "air")


def network(*ends: tuple[str, str]) -> Network:
    """Links between named nodes; tanks and the air are fixed."""
    fixed = np.array([name in ("left", "right", "air") for name in NAMES])
    links = tuple(
        Link(name=f"{start} {end}", start=NAMES.index(start), end=NAMES.index(end), parts=())
        for start, end in ends
    )
    return Network(NAMES, fixed, links)


def tree_of(*ends: tuple[str, str], shut: tuple[int, ...] = ()):
    found = network(*ends)
    is_open = np.ones(len(ends), dtype=bool)
    is_open[list(shut)] = False
    return feeding_tree(found, is_open, NAMES.index("inlet"))


Y = (("left", "tee"), ("tee", "right"), ("foot", "tee"), ("foot", "inlet"))
"""Two tanks that meet at a tee; two of the lines are written from engine to tank."""


class TestFeedingTree:
    def test_signs_say_which_way_leads_to_the_inlet(self):
        tree = tree_of(*Y)
        assert tree.sign.tolist() == [1, -1, -1, 1]
        assert sorted(tree.leaf_link.tolist()) == [0, 1]
        assert {NAMES[node] for node in tree.leaf_node} == {"left", "right"}
        assert [NAMES[node] for node in tree.nodes] == ["inlet", "foot", "tee"]

    def test_paths_and_what_lies_below_a_junction(self):
        tree = tree_of(*Y)
        left = tree.leaf_link.tolist().index(0)
        assert tree.path[left].tolist() == [True, False, True, True]
        assert tree.below.tolist() == [
            [False, False, False, False],
            [False, False, False, True],
            [False, False, True, True],
        ]

    def test_a_shut_line_and_what_hangs_on_it_are_no_part(self):
        tree = tree_of(*Y, shut=(1,))
        assert tree.sign.tolist() == [1, 0, -1, 1]
        assert tree.leaf_link.tolist() == [0]
        alone = tree_of(*Y, shut=(3,))
        assert alone.sign.tolist() == [0, 0, 0, 0]
        assert len(alone.leaf_link) == 0

    def test_a_ring_is_no_tree(self):
        ring = (("left", "tee"), ("tee", "foot"), ("foot", "inlet"), ("tee", "inlet"))
        assert tree_of(*ring) is None
        assert tree_of(*ring, shut=(3,)) is not None
        assert tree_of(("left", "tee"), ("tee", "inlet"), ("tee", "inlet")) is None

    def test_two_lines_of_one_tank_are_two_leaves(self):
        tree = tree_of(("left", "tee"), ("left", "foot"), ("tee", "foot"), ("foot", "inlet"))
        assert sorted(tree.leaf_link.tolist()) == [0, 1]
        assert tree.leaf_node.tolist() == [0, 0]

    def test_lines_between_tanks_alone_do_not_lead_there(self):
        tree = tree_of(("left", "right"), ("left", "inlet"))
        assert tree.sign.tolist() == [0, 1]


class TestDirections:
    def test_who_gives_and_who_only_takes_in(self):
        tree = tree_of(*Y)
        left = tree.leaf_link.tolist().index(0)
        both = np.full(4, BOTH, dtype=np.int8)
        assert tree.gives(both).all()
        assert not tree.only_towards(both).any()
        taking = both.copy()
        taking[0] = BACKWARD  # an uncovered outlet at the line's start
        assert tree.gives(taking)[left] == np.False_
        assert tree.gives(taking)[1 - left] == np.True_
        one_way = both.copy()
        one_way[2] = BACKWARD  # written from engine to tank: to the inlet is backward
        assert tree.only_towards(one_way).tolist() == [False, False, True, False]
        assert tree.gives(one_way).all()

    def test_the_way_that_is_an_outlets_own(self):
        tree = tree_of(*Y)
        left = tree.leaf_link.tolist().index(0)
        both = np.full(4, BOTH, dtype=np.int8)
        own = tree.own_way(both)
        assert own[left].tolist() == [True, False, False, False]
        alone = both.copy()
        alone[1] = FORWARD  # the other outlet, at the line's end, only takes in
        assert tree.own_way(alone)[left].tolist() == [True, False, True, True]
        assert tree.own_way(alone)[1 - left].tolist() == [False, True, False, False]

    def test_which_lines_may_flow_a_way(self):
        tree = tree_of(*Y)
        allowed = np.array([FORWARD, FORWARD, BOTH, 0], dtype=np.int8)
        yes = np.ones(4, dtype=bool)
        assert tree.may_flow(allowed, yes).tolist() == [True, False, True, False]
        assert tree.may_flow(allowed, ~yes).tolist() == [False, True, True, False]
