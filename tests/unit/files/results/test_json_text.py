"""JSON as text, byte for byte what the standard library writes."""

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from flowsim.files.results.json_text import json_text

scalars = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(),
)
values = st.recursive(
    scalars,
    lambda inner: st.one_of(st.lists(inner), st.dictionaries(st.text(), inner)),
    max_leaves=40,
)


def by_the_library(value) -> str:
    return json.dumps(value, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


@given(st.dictionaries(st.text(), values))
def test_the_same_bytes_as_the_library(value):
    assert json_text(value) == by_the_library(value)


def test_what_is_not_quite_plain_is_written_alike():
    """Tuples, numbers of numpy that are floats, and a text of another kind."""

    class Word(str):
        __slots__ = ()

    value = {"a": (1, 2.5, ()), "b": np.float64(0.1), "c": Word("ü\n"), "d": [[], {}, [{}]]}
    assert json_text(value) == by_the_library(value)


@pytest.mark.parametrize("wrong", [float("nan"), float("inf"), -float("inf"), np.float64("nan")])
@pytest.mark.parametrize("wrap", [lambda x: {"a": x}, lambda x: {"a": [1.0, x]}])
def test_what_is_no_number_is_refused(wrong, wrap):
    with pytest.raises(ValueError):
        json_text(wrap(wrong))


def test_what_is_no_json_is_refused():
    with pytest.raises(TypeError):
        json_text({"a": {1, 2}})
