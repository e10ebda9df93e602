"""Where both sides only put entries behind what there was, they are united by bytes: with the very bytes that cutting the files into pieces gives."""

from __future__ import annotations

import pytest
from history.ledgers import EXAMINED, RECEIVED, TESTED, cask, event
from hypothesis import example, given
from hypothesis import strategies as st

from caskbook.merge import likely, merge, whole
from caskbook.merge.grown import both_grew, united

BASE = cask(RECEIVED, EXAMINED, TESTED)
ONE = event("gqw00001", "2023-06-01", "note", "note: ours")
TWO = event("gqw00002", "2023-06-01", "flag", "at: [croze-B-4]")
THREE = event("gqw00003", "2023-05-31", "fill", "spirit: malt", "litres: 198.4", "abv: 63.5", "at_20: true")
LATE = event("dt3q62s0", "2015-03-20", "note", "note: of the same day, before the test")
PIECES = [
    RECEIVED, ONE, TWO, THREE, LATE, event("dt3q62s2", "2015-03-20", "note", "note: of the same day"), event("gqw00004", "2023-06-01", "fill", "spirit: malt", "litres: 198.4", "abv: 63.5", "at_20: true"),
    ONE.replace("ours", "theirs"), ONE.replace("gqw00001", "gqw00005"), event("gqw00006", "2023-06-02", "void", "of: dt3q62s1", "why: misread"), event("gqw00007", "2023-06-02", "test", "psi: 12", "result: pass", "replaces: dt3q62s1", "why: x"),
    ONE.replace("    by", "    # a remark\n    by"), ONE.replace("ours", "|\n      text"), ONE.replace("ours", "'it''s $(all) \\ `text` %s'"), ONE.replace("ours", "ÁÈß日本"), ONE.replace("    date: 2023-06-01\n", ""),
    "# a remark\n", "\n", "    note: more\n", "note: below\n", ONE[:-1], ONE.replace("\n", "\r\n"), ONE.replace("ours", "\x01"), ONE.replace("gqw00001", "5"),
]  # fmt: skip
TEXTS = st.lists(st.sampled_from(PIECES), max_size=3).map("".join)


@given(st.lists(st.sampled_from([*PIECES, EXAMINED, TESTED]), max_size=3).map("".join), TEXTS, TEXTS)
@example(EXAMINED + TESTED, ONE, TWO)
@example(EXAMINED + TESTED, TWO + THREE, ONE)
@example(EXAMINED + TESTED, LATE, ONE)
@example(TESTED + EXAMINED, ONE, TWO)
@example(EXAMINED + EXAMINED, ONE, TWO)
@example(EXAMINED, ONE, ONE.replace("ours", "theirs"))
@example(EXAMINED, EXAMINED, ONE)
@example("", THREE, THREE.replace("gqw00003", "gqw00004"))
def test_the_bytes_are_those_of_the_whole_merge_and_so_is_what_is_told(before: str, mine: str, yours: str) -> None:
    base, ours, theirs = ((cask(RECEIVED) + before + more).encode() for more in ("", mine, yours))
    plain, clash = merge(base, ours, theirs), likely.may_clash(base, ours, theirs)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(whole, "united", lambda *_: None)
        patch.setattr(likely, "both_grew", lambda *_: None)
        assert merge(base, ours, theirs) == plain
        assert likely.may_clash(base, ours, theirs) == clash


@pytest.mark.parametrize(
    "base, mine, yours",
    [
        (BASE, ONE, LATE),  # one belongs before the last of the common version
        (cask(RECEIVED, TESTED, EXAMINED), ONE, TWO),  # that is out of order itself
        (cask(RECEIVED, EXAMINED, EXAMINED), ONE, TWO),  # an id twice
        (BASE, ONE, ONE.replace("ours", "theirs")),  # one id on both sides
        (BASE, ONE, RECEIVED.replace("2015-03-12", "2023-06-01")),  # an id that was there
        (BASE, ONE, "  # a remark\n" + TWO),
        (BASE, ONE.replace("ours", "|\n      text"), TWO),
        (BASE, "", ONE),
        ("", ONE, TWO),
    ],
)
def test_in_doubt_the_files_are_cut_into_pieces(base: str, mine: str, yours: str) -> None:
    assert both_grew(*((base + more).encode() for more in ("", mine, yours))) is None


def test_they_stand_in_the_order_of_the_file_whichever_side_is_ours() -> None:
    sides = [(BASE + more).encode() for more in ("", TWO, ONE + THREE)]
    assert united(*sides) == united(sides[0], sides[2], sides[1]) == (BASE + THREE + ONE + TWO).encode()
