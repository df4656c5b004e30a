"""Whatever is in a file or on a command line, every reader answers in words, soon.

A short run of ``tests/benchmarks/fuzz_readers.py`` and what it once found, with hypothesis beside
it. The case reader has more in ``test_case_file_properties.py``.
"""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from flowsim.errors import InputError
from flowsim.files.results.report_object import read_report
from tests.benchmarks import fuzz_readers
from tests.benchmarks.fuzz_readers import LARGEST_MEMORY, LONGEST_TIME, READERS

SETTINGS = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@pytest.mark.parametrize("reader", READERS)
def test_mutated_inputs(reader: str) -> None:
    count = fuzz_readers.run_own(reader, 300, 7, None)
    assert count.inputs == 300
    assert not count.broken
    assert count.slowest <= LONGEST_TIME
    assert count.memory > 0


@pytest.mark.parametrize("reader", READERS)
def test_the_corpus_is_sound(reader: str) -> None:
    """Mutation starts from inputs of which each reader accepts some."""
    count = fuzz_readers.Count()
    for content in fuzz_readers.corpus(reader):
        fuzz_readers.try_one(reader, content, count, None)
    assert count.inputs >= 2
    assert not count.broken


@SETTINGS
@given(st.sampled_from(sorted(READERS)), st.binary(max_size=200))
def test_any_bytes(reader: str, content: bytes) -> None:
    READERS[reader][0](content)


@SETTINGS
@given(
    st.sampled_from(["readings", "profile"]),
    st.lists(st.sampled_from(fuzz_readers.TOKENS) | st.text(max_size=8), max_size=12).map("".join),
)
def test_tokens_in_any_order(reader: str, text: str) -> None:
    READERS[reader][0](text.encode("utf-8", errors="replace"))


@pytest.mark.parametrize(
    "content",
    [
        '{"schema": "flow\\ufeffsim.report/1"}',
        '{"schema": "flowsim.report/\\u001b[2J"}',
        '{"schema": "flowsim.report/1", "\\u001b[31m": 1}',
    ],
)
def test_a_report_that_is_refused_does_not_steer_the_terminal(content: str, tmp_path: Path) -> None:
    path = tmp_path / "report\x1b[1m.json"
    path.write_text(content)
    with pytest.raises(InputError) as raised:
        read_report(path)
    assert str(raised.value).isprintable()


def test_what_breaks_is_counted_and_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def break_it(content: bytes) -> None:
        raise KeyError(content.decode())

    monkeypatch.setitem(READERS, "words", (break_it, (), 0.2))
    count = fuzz_readers.Count()
    for content in (b"a", b"a", b"b"):
        fuzz_readers.try_one("words", content, count, tmp_path)
    assert sum(count.broken.values()) == 3
    assert sorted(path.read_bytes() for path in tmp_path.iterdir()) == [b"a", b"b"]
    assert LARGEST_MEMORY == 500.0
