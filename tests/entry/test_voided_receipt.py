"""A receipt put out of force: what then stands on nothing is listed, and the number takes no work before a new receipt."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from commands import caskbook

from entry.shop import CASK, Shop, days_ago
from entry.states import STATES

VOIDED = ({"date": days_ago(40), "job": "receive", "verdict": "accept"}, {"date": days_ago(20), "job": "void", "of": "e0000001", "why": "another cask's paper"})


def test_the_program_lists_what_stands_on_a_receipt_before_it_is_voided(shop: Shop) -> None:
    shop.put(*(STATES["filled"] or []))
    program = Path(sys.executable).parent / "caskbook"
    ran = subprocess.run([str(program), "void", CASK, "e0000001", "--why", "wrong cask", "--by", "ab", "--dry-run"], cwd=shop.root,
                         stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)  # fmt: skip
    assert ran.returncode == 0
    for job in ("examine", "fill"):
        assert f"a later entry no longer fits: {job} of " in ran.stderr, ran.stderr
    assert "(e0000003)" in ran.stderr


def test_a_receipt_without_later_work_is_voided_plainly(shop: Shop) -> None:
    shop.put(VOIDED[0])
    ran = shop.enter("void", CASK, "--of", "e0000001", "--why", "x", "--yes")
    assert ran.code == 0 and "no longer fits" not in ran.err


def test_show_has_the_struck_receipt_and_its_reason(shop: Shop) -> None:
    shop.put(*VOIDED)
    for more in ((), ("--all",)):
        said = caskbook("show", CASK, *more, "--records", str(shop.root)).stdout
        assert "was voided: not in stock" in said and "receive" in said and "e0000001" in said and "another cask's paper" in said, said


def test_work_wants_a_receipt_and_a_receipt_is_taken(shop: Shop) -> None:
    shop.put(*VOIDED)
    before = shop.path().read_bytes()
    ran = shop.enter("examine", CASK, "sound")
    assert ran.code == 1 and "was voided" in ran.err and f"enter its receipt: caskbook enter receive {CASK} accept" in ran.err, ran.err
    assert shop.path().read_bytes() == before
    assert shop.enter("note", CASK, "--note", "paper found").code == 0
    ran = shop.enter("receive", CASK, "accept")
    assert ran.code == 0, ran.err
    assert shop.enter("examine", CASK, "sound").code == 0 and shop.codes() == []


def test_work_in_the_place_of_the_receipt_is_written_on_the_word_of_who_enters_it_alone(shop: Shop) -> None:
    shop.put(VOIDED[0])
    before, words = shop.path().read_bytes(), ("treat", CASK, "steam", "--for", "residue", "--replaces", "e0000001", "--why", "wrong")
    ran = shop.enter(*words, "--yes")
    assert ran.code == 1 and "on a cask that never came" in ran.err and "--anyway" in ran.err and shop.path().read_bytes() == before, ran.err
    assert shop.enter(*words, "--yes", "--anyway").code == 0 and shop.codes() == ["no-arrival"]
    right = ("receive", CASK, "hold", "--replaces", "e0000001", "--why", "wrong")
    shop.path().write_bytes(before)
    assert shop.enter(*right, "--yes").code == 0 and shop.codes() == []


def test_a_sheet_lists_what_stands_on_the_receipt_that_it_voids(shop: Shop, tmp_path: Path) -> None:
    shop.put(*(STATES["ready"] or []))
    sheet = tmp_path / "sheet.csv"
    sheet.write_text(f"cask,job,of,why\n{CASK},void,e0000001,wrong\n", encoding="utf-8")
    ran = shop.enter("sheet", str(sheet), "--by", "ab", "--yes")
    assert ran.code == 0 and "a later entry no longer fits: examine of " in ran.err, ran.err
