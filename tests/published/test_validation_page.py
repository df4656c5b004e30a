"""The committed page of validation is the one that flowsim makes now."""

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
