"""A document is data: cleaned, immutable, its passages known by what they are about."""

import ast
import dataclasses
from pathlib import Path
from typing import get_args

import pytest
from pydantic import TypeAdapter

from flowsim.document import blocks
from flowsim.document.blocks import Block, Column, Table, Words, block_object
from flowsim.document.build import bullets, heading, pairs, paragraph, table
from flowsim.document.document import About, Document, assumptions, cautions, passage

ROOT = Path(__file__).parents[3]
STEER = "a\x1b[31mb\nc"
KINDS = get_args(get_args(Block)[0])


def test_text_is_cleaned_as_it_enters_a_document():
    assert heading(STEER).text == "a?[31mb c"
    assert paragraph(STEER).text == "a?[31mb c"
    assert pairs([(STEER, STEER)]).rows == (("a?[31mb c", "a?[31mb c"),)
    assert bullets([STEER]).items == ("a?[31mb c",)
    assert table((STEER,), [(STEER,)]).rows == (("a?[31mb c",),)


def test_words_set_in_further_are_subordinate():
    assert paragraph("x").tone == "plain"
    assert paragraph("x", 4).tone == "sub"
    assert paragraph("x", 0).tone == "plain"


def test_a_table_knows_its_numbers_and_fills_its_rows():
    made = table(("part", "mm", "in"), [("line:",), ("  elbow", "1.0"), ("", "", "")], foot=[["s"]])
    assert [column.numeric for column in made.columns] == [False, True, True]
    assert made.rows == (("line:",), ("  elbow", "1.0", ""), ("", "", ""))
    assert made.foot == (("s",),)


def test_what_is_for_plain_text_alone_is_not_kept():
    kept = block_object(paragraph("x", 4, above=1))
    assert kept == {"type": "words", "text": "x", "tone": "sub"}


def test_a_number_that_does_not_exist_is_refused():
    from flowsim.document.pictures import AxisMark

    with pytest.raises(ValueError, match="finite"):
        AxisMark(value=float("nan"), name="x")


def test_passages_are_taken_by_what_they_are_about_and_not_by_their_words():
    head, found = paragraph("Cautions"), heading("Cautions (not the passage)")
    document = Document(
        title="t",
        passages=(
            passage(About.HEAD, head),
            passage(About.FOUND, found, [paragraph("a"), paragraph("b")]),
            assumptions(["c"]),
            cautions(["d"]),
        ),
    )
    kept = document.without(About.HEAD, About.ASSUMPTIONS, About.CAUTIONS)
    assert kept == [found, paragraph("a"), paragraph("b")]
    assert document.of(About.ASSUMPTIONS) == [heading("Assumptions (1)"), bullets(["c"])]
    assert len(document.blocks()) == 8


def test_blocks_are_immutable():
    for kind in KINDS:
        assert dataclasses.fields(kind)
        assert kind.__dataclass_params__.frozen, kind
    with pytest.raises(dataclasses.FrozenInstanceError):
        Words(text="x").text = "y"


def test_each_block_is_read_back_as_it_was_written():
    one = Table(caption="c", columns=(Column(name="a"),), rows=(("1",),))
    read = TypeAdapter(Block).validate_python(block_object(one))
    assert read == one
    assert len(KINDS) == len({kind.__name__ for kind in KINDS}) == 10
    assert all(getattr(blocks, kind.__name__) is kind for kind in KINDS)


def test_only_the_renderers_import_the_library_that_lays_out_plain_text():
    found = set()
    for path in sorted((ROOT / "flowsim").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            if any(name.partition(".")[0] == "rich" for name in names):
                found.add(path.relative_to(ROOT / "flowsim").parts[:2])
    assert found == {("reports", "render")}
