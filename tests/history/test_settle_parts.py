"""Small decisions around a merge: whether a file was edited by hand, whether a closer look is needed, what the driver answers."""

from __future__ import annotations

from pathlib import Path

import pytest

from caskbook.cli.commands.settle import edited_by_hand
from caskbook.cli.merge_driver.driver import OUTCOME, main
from caskbook.merge import merge
from caskbook.merge.clash import clashes
from caskbook.merge.likely import may_clash
from caskbook.model.house import House
from history.ledgers import EMPTIED, EXAMINED, FILLED, RECEIVED, TESTED, cask, event

pytestmark = pytest.mark.thorough

BASE = cask(RECEIVED, EXAMINED, TESTED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")
NOSED = event("gqw00002", "2023-06-01", "nose", "verdict: clean")
SIDES = (NOTED, NOSED, FILLED, FILLED + EMPTIED, event("gqw00003", "2023-06-01", "open", "heads: [A]"), event("gqw00004", "2023-06-01", "sample", "ml: 100"))


def test_a_file_edited_by_hand_is_told_from_what_git_left():
    versions = [BASE.encode(), (BASE + NOTED).encode(), (BASE + NOSED).encode()]
    left = BASE + "<<<<<<< HEAD\n" + NOTED + "=======\n" + NOSED + ">>>>>>> side\n"
    assert not edited_by_hand(left.encode(), versions)
    assert not edited_by_hand(left.replace("\n", "\r\n").encode(), versions)
    assert not edited_by_hand(versions[1], versions)
    assert edited_by_hand(left.replace("seen", "seen well").encode(), versions)
    assert edited_by_hand((BASE + NOTED + NOSED).encode(), versions)


@pytest.mark.parametrize("one", range(len(SIDES)))
@pytest.mark.parametrize("other", range(len(SIDES)))
def test_the_quick_look_never_misses_a_clash(one: int, other: int):
    ours, theirs = (BASE + SIDES[one]).encode(), (BASE + SIDES[other].replace("id: g", "id: h").replace("id: d", "id: e")).encode()
    theirs = theirs.replace(b"id: esy3", b"id: dsy3").replace(b"id: et3q", b"id: dt3q")
    found = merge(BASE.encode(), ours, theirs)
    assert found.clean
    if clashes(found, ours, theirs, House()):
        assert may_clash(BASE.encode(), ours, theirs)


def test_the_driver_leaves_our_file_alone_and_says_what_is_wrong(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    paths = []
    for name, text in (("O", BASE), ("A", BASE + NOTED), ("B", BASE + NOSED)):
        (tmp_path / name).write_text(text)
        paths.append(str(tmp_path / name))
    assert main([*paths, "7", "records/casks/TH-004/TH-004217.yaml"]) == 0
    assert (tmp_path / "A").read_text() == BASE + NOTED and Path(paths[1] + OUTCOME).read_text() == BASE + NOTED + NOSED
    assert main([*paths, "seven", "x"]) == 2 and main(["only one"]) == 2 and main([str(tmp_path / "none"), *paths[1:], "7", "x"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 3
