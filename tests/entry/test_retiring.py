"""Retiring a cask: its signs are offered as reasons at a terminal and told before it is written; that the book sees none is asked about."""

from __future__ import annotations

import os
import sys
from typing import Any

import pexpect
import pytest

from caskbook.entry.retiring import reason_words
from entry.shop import CASK, HOUSE, Shop, days_ago

CAME: dict[str, Any] = {"date": days_ago(30), "job": "receive", "verdict": "accept"}
SOAKED: dict[str, Any] = {"date": days_ago(8), "job": "examine", "verdict": "sound", "soaked": 0.7, "stave_mm": 18.5}
SIGNED = ("--approved-by", "K. Dunmore")
HARD = f"soaked 0.70 of the thickness on {days_ago(8)}; house limit 0.5"
WORN = f"worn: staves 18.5 mm on {days_ago(8)}, less than 1 mm over the floor of 18"


def test_the_signs_are_told_before_it_is_written(shop: Shop) -> None:
    shop.put(CAME, SOAKED, made=2010)
    ran = shop.enter("retire", CASK, "--reasons", "soaked", *SIGNED)
    assert ran.code == 0 and shop.last()["reasons"] == ["soaked"], ran.err
    assert f"{CASK}  signs 2 of 2, 1 enough alone: caskbook report retirement {CASK}" in ran.err
    assert f"{CASK}  sign: {HARD}" in ran.err and f"{CASK}  sign: {WORN}" in ran.err


def test_that_the_book_sees_no_sign_is_asked_about_and_never_refused(shop: Shop) -> None:
    shop.put(CAME)
    words = ("retire", CASK, "--reasons", "woodworm", *SIGNED)
    ran = shop.enter(*words)
    assert ran.code == 1 and f"{CASK}  the book sees no sign that it should be retired; 1 sign not to be told" in ran.err and "add --yes" in ran.err
    assert shop.last()["job"] == "receive"
    ran = shop.enter(*words, "--yes")
    assert ran.code == 0 and shop.last()["reasons"] == ["woodworm"] and "the book sees no sign" in ran.err


def test_one_sign_of_two_is_told_and_not_asked_about(shop: Shop) -> None:
    shop.put(CAME, {**SOAKED, "soaked": 0.2}, made=2010)
    ran = shop.enter("retire", CASK, "--reasons", "worn", *SIGNED)
    assert ran.code == 0 and f"{CASK}  signs 1 of 2: caskbook report" in ran.err and shop.last()["job"] == "retire"


def test_losses_are_held_against_other_casks_and_not_asked_here(shop: Shop) -> None:
    fills = [
        {
            "date": days_ago(400 - 100 * n + (0 if job == "fill" else -50)),
            "job": job,
            "litres": 190,
            "abv": 63,
            "at_20": True,
            **({"spirit": "malt"} if job == "fill" else {}),
        }
        for n in range(2)
        for job in ("fill", "empty")
    ]
    shop.put({**CAME, "date": days_ago(450)}, *fills, {**SOAKED, "soaked": 0.2}, made=2010)
    ran = shop.enter("retire", CASK, "--reasons", "worn", *SIGNED)
    assert ran.code == 0 and f"{CASK}  signs 1 of 2; whether it lost too much is not asked here: caskbook report" in ran.err, ran.err


def test_of_several_casks_each_has_its_count(shop: Shop) -> None:
    for cask in (CASK, "TH-004218"):
        shop.put(CAME, SOAKED, cask=cask, made=2010)
    ran = shop.enter("retire", CASK, "TH-004218", "--reasons", "soaked", *SIGNED, "--yes")
    assert ran.code == 0 and ran.err.count("signs 2 of 2, 1 enough alone") == 2 and "sign: " not in ran.err.replace("signs ", "")


def test_a_house_without_the_rule_is_told_nothing(tmp_path: Any) -> None:
    shop = Shop(tmp_path, HOUSE + "due: {retire: {off: true}}\n")
    shop.put(CAME)
    ran = shop.enter("retire", CASK, "--reasons", "woodworm", *SIGNED, "--by", "ab")
    assert ran.code == 0 and "sign" not in ran.err.replace("design", "")


def test_a_retirement_put_right_is_not_asked_about_again(shop: Shop) -> None:
    shop.put(CAME, {"date": days_ago(1), "job": "retire", "reasons": ["wrom"], "approved_by": "K. Dunmore"})
    ran = shop.enter("retire", CASK, "--reasons", "worm", *SIGNED, "--replaces", "e0000002", "--why", "misspelt")
    assert ran.code == 0 and "no sign" not in ran.err, ran.err


@pytest.mark.parametrize(
    ("sign", "reason"),
    [
        ("soaked 0.70 of the thickness on 2020-02-01; house limit 0.5", "soaked 0.70 of the thickness on 2020-02-01"),
        ("10 of 30 staves replaced within 10 years; house limit 33%", "10 of 30 staves replaced within 10 years"),
        (
            "spent: 2 fills since char on 2002-02-01, house limit 2; not to be charred again: re-charred twice already, house limit 2; 6 fills in its life, after 2 re-chars; house limit 6",
            "spent: 2 fills since char on 2002-02-01, not to be charred again: re-charred twice already, 6 fills in its life, after 2 re-chars",
        ),
    ],
)
def test_a_sign_as_a_reason(sign: str, reason: str) -> None:
    assert reason_words(sign) == reason


@pytest.mark.thorough
def test_at_a_terminal_the_signs_are_offered_as_reasons_and_the_signature_asked_for(shop: Shop) -> None:
    shop.put(CAME, SOAKED, made=2010)
    env = {**os.environ, "CASKBOOK_BY": "ab", "TERM": "dumb"}
    child = pexpect.spawn(
        sys.executable, ["-m", "caskbook", "enter", "retire", CASK, "--records", str(shop.root)], env=env, encoding="utf-8", timeout=30, echo=False
    )  # type: ignore[arg-type]
    child.delaybeforesend = None
    child.expect_exact(f"{HARD}: a reason? [y/N] ")
    child.sendline("y")
    child.expect_exact(": a reason? [y/N] ")
    child.sendline("n")
    child.expect("approved by.*: ")
    child.sendline("zz")
    child.expect_exact("zz is not of the crew: other initials, a name in full, or zz again")
    child.expect("approved by.*: ")
    child.sendline("K. Dunmore")
    child.expect_exact("signs 2 of 2, 1 enough alone")
    child.expect_exact("Write it? [Y/n] ")
    child.sendline("")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
    assert shop.last()["reasons"] == [f"soaked 0.70 of the thickness on {days_ago(8)}"] and shop.last()["approved_by"] == "K. Dunmore"


@pytest.mark.thorough
def test_at_a_terminal_a_cask_without_signs_is_asked_for_reasons_and_doubted(shop: Shop) -> None:
    shop.put(CAME)
    env = {**os.environ, "CASKBOOK_BY": "ab", "TERM": "dumb"}
    child = pexpect.spawn(
        sys.executable, ["-m", "caskbook", "enter", "retire", CASK, "--records", str(shop.root)], env=env, encoding="utf-8", timeout=30, echo=False
    )  # type: ignore[arg-type]
    child.delaybeforesend = None
    child.expect("reasons.*: ")
    child.sendline("woodworm; thin")
    child.expect("approved by.*: ")
    child.sendline("K. Dunmore")
    child.expect_exact("the book sees no sign")
    child.expect_exact("Is that right? [y/N] ")
    child.sendline("n")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 1 and shop.last()["job"] == "receive"
