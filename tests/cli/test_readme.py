"""The front documents: their commands, links and sample output are true.

``python tests/cli/test_readme.py`` writes the samples in README.md and in the tutorial, and the
tutorial's pictures, anew.
"""

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
TUTORIAL = ROOT / "docs" / "tutorial" / "first-case.md"
PICTURES = ROOT / "docs" / "pictures" / "first-case"
BLOCK = re.compile(
    r"(<!-- sample: flowsim (?P<words>.+?) -->\n```text\n)"
    r"(?P<text>.*?)"
    r"(```\n<!-- end of sample -->)",
    re.DOTALL,
)


def sample(words: list[str]) -> str:
    """Run the sample's command."""
    return flowsim(words)


def flowsim(words: list[str]) -> str:
    environment = {**os.environ, "COLUMNS": "80", "NO_COLOR": "1", "TERM": "dumb"}
    done = subprocess.run(
        [sys.executable, "-m", "flowsim.cli.main", *words],
        cwd=ROOT, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode in (0, 1, 3), done.stderr
    return done.stdout


@pytest.mark.parametrize(("page", "count"), [(README, 1), (TUTORIAL, 2)], ids=str)
def test_sample_output_is_current(page, count):
    blocks = list(BLOCK.finditer(page.read_text(encoding="utf-8")))
    assert len(blocks) == count
    for block in blocks:
        made = sample(block["words"].split())
        assert block["text"] == made, "python tests/cli/test_readme.py"


def test_the_tutorial_s_pictures_are_current(tmp_path):
    made = drawn(tmp_path / "made")
    for picture in PICTURES.iterdir():
        assert picture.read_text(encoding="utf-8") == made[picture.name]


def drawn(folder: Path) -> dict[str, str]:
    """Run the tutorial's drawing command."""
    flowsim(["routing", "cases/nose-high/case.toml", "--drawings", str(folder)])
    return {path.name: path.read_text(encoding="utf-8") for path in folder.iterdir()}


def test_sample_is_the_case_of_the_first_command():
    text = README.read_text(encoding="utf-8")
    block = BLOCK.search(text)
    assert block
    assert f".venv/bin/flowsim {block['words']}\n" in text


def test_each_set_up_command_makes_its_own_environment():
    commands = re.findall(r"^python3 -m venv .*$", README.read_text(encoding="utf-8"), re.MULTILINE)
    assert len(commands) == 2
    main, tests = commands
    assert "flowsim check cases/" in main
    assert tests.endswith("pytest -q -n 2")
    assert all(".venv/bin/pip install -q " in command for command in commands)


def test_the_one_check_runs_the_readme_s_test_command():
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "set -euo pipefail" in script
    assert "README.md" in script
    assert os.access(ROOT / ".ci" / "run", os.X_OK)
    for check in ("ruff check", "ruff format --check", "mypy", "lint-imports"):
        assert check in script


DOCS = ROOT / "docs"
LINKED = (
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    *DOCS.glob("*.md"),
    *(
        page
        for folder in ("tutorial", "guide", "decisions")
        for page in (DOCS / folder).glob("*.md")
    ),
)


@pytest.mark.parametrize("page", [str(page.relative_to(ROOT)) for page in LINKED])
def test_links_lead_somewhere(page):
    text = (ROOT / page).read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#]+)", text):
        if not target.startswith(("http:", "https:")):
            assert ((ROOT / page).parent / target).exists(), target


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_front_pages_promise_no_approval(page):
    text = (ROOT / page).read_text(encoding="utf-8")
    assert not re.search(r"\b(is|are|be) safe\b|certified|guarantee", text)
    assert "not an approval" in text


def refresh() -> None:
    for page in (README, TUTORIAL):
        text = page.read_text(encoding="utf-8")
        page.write_text(
            BLOCK.sub(lambda match: match[1] + sample(match["words"].split()) + match[4], text),
            encoding="utf-8",
        )
    with tempfile.TemporaryDirectory() as folder:
        for name, text in drawn(Path(folder) / "made").items():
            if (PICTURES / name).exists():
                (PICTURES / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    refresh()
