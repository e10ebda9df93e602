"""Questions at a terminal: what cannot be is refused before anything is asked, y/n is asked again, and the end writes nothing."""

from __future__ import annotations

from pathlib import Path

import pexpect
import pytest
from cli.test_enter import at_terminal, caskbook, finished
from entry.shop import CASK, Shop
from entry.states import STATES

pytestmark = pytest.mark.thorough


def shop_with(state: str, folder: Path) -> Shop:
    made = Shop(folder)
    made.put(*(STATES[state] or []))
    return made


@pytest.mark.parametrize(
    ("state", "words", "said"),
    [
        ("filled", ("fill",), "filled again; it has held malt"),
        ("ready", ("empty",), "empty on an empty cask: nothing in it"),
        ("ready", ("leak",), "leak on an empty cask"),
        ("filled", ("test",), "test needs it empty"),
        ("gone", ("fill",), "fill on a cask that is gone"),
        ("missing", ("test",), "test while the cask was missing"),
        ("ready", ("found",), "it was not missing"),
        ("ready", ("return",), "returned, but it was here"),
    ],
)
def test_what_cannot_be_is_refused_before_a_field_is_wanted(tmp_path: Path, state: str, words: tuple[str, ...], said: str):
    shop = shop_with(state, tmp_path)
    before = shop.path().read_bytes()
    ran = shop.enter(*words, CASK)
    assert ran.code == 1 and said in ran.err and "nothing written" in ran.err and " needs --" not in ran.err, ran.err
    assert shop.path().read_bytes() == before


def test_a_job_that_may_be_still_says_what_it_lacks(tmp_path: Path):
    shop = shop_with("away", tmp_path)
    assert "needs" in shop.enter("test", CASK).err  # a shop may do it, and nobody has said who did
    ran = shop.enter("test", CASK, "--by", "ab")
    assert ran.code == 1 and "while the cask was away" in ran.err
    assert "needs" in shop.enter("test", CASK, "--by", "shop-north").err
    shop = shop_with("ready", tmp_path / "open")
    assert "needs" in shop.enter("char", CASK, "--by", "ab").err  # its heads are taken out unsaid


def test_at_a_terminal_nothing_is_asked_of_a_full_cask(tmp_path: Path):
    shop = shop_with("filled", tmp_path)
    child = at_terminal(shop, "enter", "fill", CASK)
    child.expect_exact("filled again")
    child.expect_exact("nothing written")
    assert "spirit:" not in str(child.before) and finished(child) == 1
    child = at_terminal(shop, "enter", "receive", CASK)
    child.expect_exact("a cask arrives once")
    assert finished(child) == 1
    child = at_terminal(shop, "enter", "fill", "TH-009999")
    child.expect_exact("is not in the book")
    assert finished(child) == 1


@pytest.mark.parametrize(("ending", "code"), [("yes", 0), ("eof", 1), ("stop", 130)])
def test_a_wrong_answer_to_a_doubt_is_asked_again(tmp_path: Path, ending: str, code: int):
    shop = shop_with("ready", tmp_path)
    before = shop.path().read_bytes()
    child = at_terminal(shop, "enter", "note", CASK, "--note", "x", "--date", "-35")
    for wrong in ("perhaps", "9"):
        child.expect_exact("Is that right? [y/N] ")
        child.sendline(wrong)
        child.expect_exact("answer y or n")
    child.expect_exact("Is that right? [y/N] ")
    if ending == "yes":
        child.sendline("Y")
        child.expect_exact("[Y/n] ")
        child.sendline("yes")
    elif ending == "eof":
        child.sendeof()
    else:
        child.sendintr()
    if code:
        child.expect_exact("nothing written")
    child.expect(pexpect.EOF)
    assert "nothing written" not in str(child.before) and "Traceback" not in str(child.before)
    assert finished(child) == code and (shop.path().read_bytes() == before) is bool(code)


@pytest.mark.parametrize("asked", ["matter", "unit"])
def test_a_wrong_answer_to_the_other_questions_too(tmp_path: Path, asked: str):
    shop = shop_with("ready", tmp_path)
    if asked == "matter":
        shop.enter("examine", CASK, "repair", "--findings", "joint-3 weep", "--by", "ab")
        child = at_terminal(shop, "enter", "drive", CASK)
        question = "answered by this? [y/N] "
    else:
        child = at_terminal(shop, "gauge", "ullage", "--bung", "26", "--head", "22", "--length", "34", "--wet", "10")
        question = "[Y/n] "
    child.expect_exact(question)
    child.sendline("huh")
    child.expect_exact("answer y or n")
    child.expect_exact(question)
    child.sendintr()
    child.expect_exact("interrupted")
    assert finished(child) == 130


def test_without_a_terminal_the_end_of_input_is_one_sentence(tmp_path: Path):
    shop = shop_with("filled", tmp_path)
    ran = caskbook(shop, "enter", "fill", CASK)
    assert ran.returncode == 1 and ran.stderr.splitlines()[-1] == "nothing written"
