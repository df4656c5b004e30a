"""The type check finds a saying that stands in a text untold."""

from pathlib import Path

from mypy import api

TOP = Path(__file__).parents[4]
WRITTEN = """from flowsim.document.words.telling import told
from flowsim.studies.saying import Said


def write(said: Said, name: str) -> tuple[str, ...]:
    return (
        f"so: {said}",
        str(said),
        f"so: {told(said)}",
        f"so: {name}",
    )
"""


def test_a_saying_in_a_text_is_found(tmp_path: Path) -> None:
    module = tmp_path / "written.py"
    module.write_text(WRITTEN, encoding="utf-8")
    out, _, _ = api.run(
        ["--config-file", str(TOP / "pyproject.toml"), "--cache-dir", str(tmp_path), str(module)]
    )
    found = [line.split(":")[1] for line in out.splitlines() if "A saying is no text" in line]
    assert found == ["7", "8"], out
