"""Two values of a file are the same only where they are of one type at every depth."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.merge import merge
from caskbook.merge.parts import _same
from caskbook.yaml.segments.by_lines import Part
from caskbook.yaml.write import flow_text

LEAVES = st.one_of(
    st.sampled_from([0, 0.0, False, "0", 1, 1.0, True, "1", "true", None, "", -0.0]), st.text(max_size=3), st.integers(), st.floats(allow_nan=False)
)
VALUES = st.recursive(LEAVES, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from("abc"), inner, max_size=3), max_leaves=8)


def alike(one: Any, other: Any) -> bool:
    return _same(Part("was", (), one), Part("was", (), other))


def typed(value: Any) -> str:
    """The value with the type of each of its parts."""
    if isinstance(value, dict):
        return "{" + ",".join(f"{key!r}:{typed(value[key])}" for key in sorted(value)) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(typed, value)) + "]"
    return f"{type(value).__name__}:{value + 0.0 if isinstance(value, float) else value!r}"


@given(VALUES, VALUES)
def test_alike_is_of_one_type_all_the_way_down(one: Any, other: Any) -> None:
    assert alike(one, other) == (typed(one) == typed(other))
    assert alike(one, one) and alike([one], [one]) and not alike([one], {"a": one})


@pytest.mark.parametrize("one", [1, 1.0, True, "1"])
@pytest.mark.parametrize("other", [1, 1.0, True, "1"])
def test_one_in_four_spellings_is_four_values(one: Any, other: Any) -> None:
    for wrap in (lambda value: [value], lambda value: {"a": value}, lambda value: [{"a": [value]}]):
        assert alike(wrap(one), wrap(other)) == (type(one) is type(other))


@pytest.mark.parametrize(("ours", "theirs"), [([1], [True]), ([1], [1.0]), ([1], ["1"])])
def test_a_merge_leaves_it_to_a_person(ours: Any, theirs: Any) -> None:
    text = "cask: TH-004217\nformat: 1\ntype: barrel\nwas: {}\nevents: []\n"
    found = merge(*(text.replace("{}", flow_text(side)).encode() for side in (["old"], ours, theirs)))
    assert found.conflicts and b"<<<<<<<" in found.data
