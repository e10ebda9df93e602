"""The merge driver beside a clock that tells no time: files are merged all the same, for nothing in them hangs on it."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from caskbook.cli.merge_driver.driver import OUTCOME, main
from history.ledgers import EXAMINED, RECEIVED, TESTED, cask


def _far(*_: object) -> float:
    """As Python itself does from 2262-04-12 on."""
    raise OverflowError("timestamp too large to convert to C PyTime_t")


@pytest.mark.parametrize("far", [False, True])
def test_a_clock_after_2262_is_said_and_stops_no_merge(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], far: bool) -> None:
    names = [tmp_path / name for name in ("base", "ours", "theirs")]
    for path, text in zip(names, (cask(RECEIVED), cask(RECEIVED, EXAMINED), cask(RECEIVED, TESTED)), strict=True):
        path.write_text(text)
    left, lately = tmp_path / "stores" / "1", tmp_path / "stores" / "2"
    left.mkdir(parents=True)
    lately.mkdir()
    os.utime(left, (0, time.time() - 7200))
    monkeypatch.setenv("GITHEAD_" + "0" * 40, "theirs")
    monkeypatch.chdir(tmp_path)
    if far:
        monkeypatch.setattr(time, "time", _far)
        monkeypatch.setattr(time, "time_ns", _far)
    code = main([*map(str, names), "7", "casks/TH-004/TH-004217.yaml", str(tmp_path / "stores" / "3")])
    assert code == 0 and Path(f"{names[1]}{OUTCOME}").read_text() == cask(RECEIVED, EXAMINED, TESTED)
    said = "caskbook: the clock of this machine stands before 1677 or after 2262: set it right first\n"
    assert capsys.readouterr().err == (said if far else "")
    assert (left.exists(), lately.exists()) == (far, True)
