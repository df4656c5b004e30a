"""The front documents: their commands, links and sample output are true.

``python tests/cli/test_readme.py`` writes the sample in README.md anew.
"""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
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


def test_sample_output_is_current():
    block = BLOCK.search(README.read_text(encoding="utf-8"))
    assert block
    assert block["text"] == sample(block["words"].split()), "python tests/cli/test_readme.py"


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


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", *(
    str(path.relative_to(ROOT))
    for path in [ROOT / "docs" / "nomenclature.md", ROOT / "docs" / "changelog.md",
                 *(ROOT / "docs" / "decisions").glob("*.md")]
)])  # fmt: skip
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
    text = README.read_text(encoding="utf-8")
    block = BLOCK.search(text)
    assert block
    made = sample(block["words"].split())
    README.write_text(BLOCK.sub(lambda match: match[1] + made + match[4], text), encoding="utf-8")


if __name__ == "__main__":
    refresh()
