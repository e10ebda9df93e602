"""Words as they are said at the bench: understood, or asked about with the words that settle it."""

from __future__ import annotations

from pathlib import Path

import pytest

from entry.shop import CASK, Shop
from entry.states import STATES


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    made = Shop(tmp_path)
    made.put(*(STATES["ready"] or []))
    return made


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("sound", "tight, or does it ring true"),
        ("rings true", "tight, or does it ring true"),
        ("dry", "does not leak, or dried out"),
        ("tigt", "pass?"),
        ("weep", "a weep is a leak"),
    ],
)
def test_a_result_that_is_none_is_asked_about_in_the_craft_s_words(shop: Shop, word: str, said: str):
    for words in ((word,), ("--result", word)):
        ran = shop.enter("test", CASK, *words, "--psi", "11", "--by", "ab")
        assert ran.code == 2 and said in ran.err and "--result" in ran.err
    assert len(shop.data()["events"]) == 2


@pytest.mark.parametrize(("word", "result"), [("tight", "pass"), ("holds", "pass"), ("leaks", "fail")])
def test_a_result_as_a_cooper_says_it_is_understood(shop: Shop, word: str, result: str):
    leaks = ("--leaks", "joint-3") if result == "fail" else ()
    assert shop.enter("test", CASK, word, "--psi", "11", "--by", "ab", *leaks).code == 0
    assert shop.last()["result"] == result


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("dry", "dried out is found by an examination"),
        ("sweaty", "one of musty, acetic, solvent"),
        ("sound", "is the nose clean?"),
        ("mousty", "did you mean musty?"),
    ],
)
def test_a_fault_of_a_nose_that_is_none_tells_the_words_there_are(shop: Shop, word: str, said: str):
    ran = shop.enter("nose", CASK, "fault", "--faults", word, "--by", "ab")
    assert ran.code == 2 and said in ran.err


def test_a_leak_told_with_how_much_is_kept_by_its_place(shop: Shop):
    ran = shop.enter("test", CASK, "fail", "--psi", "11", "--leaks", "joint-14 drip; croze-A-3 weeping", "--by", "ab")
    assert ran.code == 0 and "drip at joint-14 written as joint-leak" in ran.err
    assert shop.last()["leaks"] == [{"at": "joint-14", "kind": "joint-leak"}, {"at": "croze-A-3", "kind": "croze-leak"}]


@pytest.mark.parametrize(
    ("leaks", "said"),
    [
        ("hoop-A-1 loose", "a loose hoop is no leak: name the joint that leaks"),
        ("joint 14 and 15", "'and 15' is no defect: each place by itself, as joint-14, joint-15"),
        ("joint-14 gushing", "caskbook explain defects"),
        ("the seam", "is no place on a cask"),
    ],
)
def test_a_leak_that_cannot_be_read_says_what_is_missing(shop: Shop, leaks: str, said: str):
    ran = shop.enter("test", CASK, "fail", "--psi", "11", "--leaks", leaks, "--by", "ab")
    assert ran.code == 2 and said in ran.err


@pytest.mark.parametrize(("hoops", "kept"), [("A1, B1", ["hoop-A-1", "hoop-B-1"]), ("bulge A", ["hoop-A-3"]), ("A-bilge", ["hoop-A-3"]), ("all", None)])
def test_hoops_by_side_and_word(shop: Shop, hoops: str, kept: list[str] | None):
    assert shop.enter("drive", CASK, "--hoops", hoops, "--by", "ab").code == 0
    assert shop.last().get("hoops") == kept


@pytest.mark.parametrize(
    ("hoops", "said"),
    [("bulge", "which side? A-bulge, B-bulge or both"), ("quarter", "A-quarter, B-quarter"), ("head", "A-chime, B-chime"), ("top", "is no hoop: as A-1")],
)
def test_a_hoop_without_its_side_is_asked_about(shop: Shop, hoops: str, said: str):
    ran = shop.enter("drive", CASK, "--hoops", hoops, "--by", "ab")
    assert ran.code == 2 and said in ran.err and "stave-14" not in ran.err
