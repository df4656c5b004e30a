"""The committed page of validation is the one that flowsim makes now."""

import re
from pathlib import Path

from tests.support.published import folders, load
from tests.support.validation_page import PAGE, SECTIONS, page


def test_the_page_is_current():
    # To renew it: python -m tests.support.validation_page
    assert PAGE.read_text(encoding="utf-8") == page()


def test_every_source_is_on_the_page():
    text = page()
    for folder in folders():
        facts = load(folder).facts
        assert facts["section"] in SECTIONS or facts.get("not_run")
        if facts["section"] in SECTIONS:
            assert facts["title"] in text
        for entry in facts.get("not_run", ()):
            assert entry["example"] in text


def test_the_first_page_has_ten_lines_and_says_what_was_not_checked():
    first = page().split("## What was checked, in ten lines")[1].split("\n## ")[0]
    lines = [line for line in first.splitlines() if line.strip()]
    assert len(lines) == 10
    assert all(line.startswith(f"{number}. ") for number, line in enumerate(lines, 1))
    assert "Not checked against any measurement" in first
    assert "The ground test is the check" in first


def test_nothing_points_to_a_document_that_a_reader_cannot_have():
    private = re.compile(
        r"design (note|section)|(project's|facts|fuels|hydraulics) note|note,? section"
        r"|\bNote \d|\(V\d\d\)|design\.md|facts\.md|checks\.md"
    )
    root = Path(__file__).parents[2]
    found = [
        f"{path.relative_to(root)}: {line.strip()}"
        for folder in ("flowsim", "tests", "docs", "cases")
        for ending in ("py", "md", "toml", "csv")
        for path in (root / folder).rglob(f"*.{ending}")
        if path != Path(__file__)
        for line in path.read_text(encoding="utf-8").splitlines()
        if private.search(line)
    ]
    assert not found, "\n".join(found)
