from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.core.finding import CaskbookError
from caskbook.entry.casks import MOST, looks_like_casks, read_casks


@given(st.integers(0, 9000), st.integers(0, 60), st.sampled_from(["TH", "A1-B2", "X"]), st.booleans(), st.booleans())
def test_a_range_is_every_number_between(start: int, length: int, letters: str, short: bool, apart: bool) -> None:
    first, last = f"{letters}-{start:06d}", f"{letters}-{start + length:06d}"
    end = last[-4:] if short else last
    tokens = [first, "..", end] if apart else [f"{first}..{end}"]
    found = read_casks(tokens)
    assert found == [f"{letters}-{number:06d}" for number in range(start, start + length + 1)]


@given(st.integers(100, 900), st.sets(st.integers(0, 40), max_size=10), st.booleans())
def test_except_leaves_out_what_is_named_and_nothing_else(start: int, out: set[int], short: bool) -> None:
    first, last = f"TH-{start:06d}", f"TH-{start + 40:06d}"
    left = [f"{start + one:03d}" if short else f"TH-{start + one:06d}" for one in sorted(out)]
    tokens = [f"{first}..{last}", *(["except", ",".join(left)] if left else [])]
    assert read_casks(tokens) == [f"TH-{number:06d}" for number in range(start, start + 41) if number - start not in out]


def test_except_binds_to_the_range_before_it() -> None:
    assert read_casks(["TH-0001..0003", "except", "0002", "TH-0002"]) == ["TH-0001", "TH-0003", "TH-0002"]
    assert read_casks(["TH-0001..0003", "except", "0001,", "0002"]) == ["TH-0003"]
    assert read_casks(["th-0001,th-0002"]) == ["TH-0001", "TH-0002"]
    assert read_casks(["TH-0001..", "0003"]) == ["TH-0001", "TH-0002", "TH-0003"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["TH-0005..0001"], "backwards"), ([f"TH-000000..{MOST:06d}"], "too many"), (["TH-0001..TX-0003"], "does not go with"),
        (["TH-0001..00003"], "does not go with"), (["TH-0001", "TH-0001"], "named twice"), (["TH-0001..0003", "TH-0002"], "named twice"),
        (["TH-0001..0003", "except", "0009"], "not in"), (["TH-0001..0003", "except"], "except what"), (["../../x"], "no cask number"),
        (["TH-12"], "no cask number"), (["TH-0001..x"], "does not go with"),
    ],
)  # fmt: skip
def test_refused(words: list[str], told: str) -> None:
    with pytest.raises(CaskbookError, match=told):
        read_casks(words)


@given(st.lists(st.text(max_size=12), max_size=5))
def test_whatever_is_typed_is_read_or_refused(words: list[str]) -> None:
    try:
        found = read_casks(words)
    except CaskbookError as error:
        assert "\n" not in str(error)
    else:
        assert len(found) == len(set(found))


def test_a_full_range_is_read() -> None:
    assert len(read_casks([f"TH-000000..{MOST - 1:06d}"])) == MOST


def test_what_looks_like_a_cask() -> None:
    assert all(looks_like_casks(word) for word in ("TH-0001", "th-0001..0005", "TH-0001..", "..", "except", "0004,0005", "TH-0001,TH-0002"))
    assert not any(looks_like_casks(word) for word in ("pass", "medium-plus", "rack-out", "clean"))
