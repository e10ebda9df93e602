"""`show` as a command: both drawings at once, and a file that is not whole."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import CASK, Shop
from entry.states import STATES

pytestmark = pytest.mark.thorough

READY = STATES["ready"] or []
MARKED = """\
<<<<<<< HEAD
  - {id: e0000008, date: 2026-06-25, job: note, by: ab, note: a}
=======
  - {id: e0000009, date: 2026-06-25, job: note, by: ab, note: b}
>>>>>>> side
"""


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    made = Shop(tmp_path)
    made.put(*READY)
    return made


def shown(shop: Shop, *words: str) -> tuple[int, str, str]:
    ran = caskbook("show", *words, cwd=shop.root.parent)
    return ran.returncode, ran.stdout, ran.stderr


def test_map_and_line_are_both_drawn(shop: Shop):
    _, picture, _ = shown(shop, CASK, "--map")
    _, line, _ = shown(shop, CASK, "--line")
    assert shown(shop, CASK, "--map", "--line") == (0, picture + "\n" + line, "")


def test_the_card_says_that_its_file_has_conflict_markers(shop: Shop):
    path = shop.path()
    path.write_text(path.read_text() + MARKED, encoding="utf-8")
    code, out, err = shown(shop, CASK)
    assert code == 1 and "\nTHIS FILE HAS CONFLICT MARKERS: merge conflict, lines " in out and "caskbook settle" in out and "2 errors in" in err


def test_the_card_says_that_entries_are_left_out(shop: Shop):
    path = shop.path()
    path.write_text(path.read_text() + "  - {id: e0000008, date: 2026-06-25, job: waltz, by: ab}\n", encoding="utf-8")
    code, out, _ = shown(shop, CASK)
    assert code == 1 and f"\n1 error in the file, 1 entry left out: caskbook check {CASK}\n" in out


def test_the_card_says_so_only_where_there_are_such(shop: Shop):
    path = shop.path()
    path.write_text(path.read_text() + "  - {id: gqzzzzz8, date: 2026-06-25, job: test, by: ab, psi: 0xB, result: pass}\n", encoding="utf-8")
    code, out, err = shown(shop, CASK)
    assert code == 1 and "in the file: caskbook check" in out and "left out" not in out + err and "not-a-number" in out and "psi 11" not in out


def test_the_index_is_let_go_where_there_is_no_card(tmp_path):
    """A connection that is left open is a warning from Python 3.13 on."""
    ran = subprocess.run(
        [sys.executable, "-W", "error", "-X", "dev", "-c", "import gc; from caskbook.cli.app import run; run(['due', '--top', '1']); run(['show', 'TH-003379', '--as-of', 'x']); print(run(['show', 'TH-999999'])); gc.collect()"],
        cwd=Path(__file__).parents[2], capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.stdout.endswith("\n2\n") and "unclosed" not in ran.stderr and ran.stderr.count("\n") <= 3
