"""What the machine notes outside the repository."""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

import platformdirs
import pytest

from caskbook.core.finding import CaskbookError
from caskbook.ledger import machine


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere the library is asked itself")
@pytest.mark.parametrize("named", [None, "", "/some/where", "not/absolute"])
def test_the_usual_folder_is_that_of_the_library(named: str | None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("XDG_STATE_HOME", raising=False)
    if named is not None:
        monkeypatch.setenv("XDG_STATE_HOME", named)
    if named != "not/absolute":  # the rule of those folders: a path that is not absolute is passed over
        assert machine.usual_folder() == Path(platformdirs.user_state_path("caskbook", appauthor=False))
    else:
        assert machine.usual_folder() == Path("~/.local/state/caskbook").expanduser()


def test_a_token_is_held_for_one_journal_alone() -> None:
    token = machine.new_token()
    assert not machine.holds_journal(token, b"a")
    machine.hold_journal(token, b"a")
    assert machine.holds_journal(token, b"a") and not machine.holds_journal(token, b"b")
    for strange in (None, 1, "", "../x", token.upper() + "x", ["a"]):
        assert not machine.holds_journal(strange, b"a")
        machine.forget_journal(strange)
    machine.forget_journal(token)
    assert not machine.holds_journal(token, b"a")


def test_what_is_noted_is_readable_by_its_owner_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    machine.hold_journal(machine.new_token(), b"a")
    (path,) = (tmp_path / "state").iterdir()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600 and stat.S_IMODE(path.parent.stat().st_mode) == 0o700


@pytest.mark.parametrize("how", ["others write", "a file"])
def test_a_folder_that_others_can_write_to_is_not_taken(tmp_path: Path, how: str, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "state"
    if how == "a file":
        folder.write_text("")
    else:
        folder.mkdir()
        folder.chmod(0o777)
    monkeypatch.setenv("CASKBOOK_STATE", str(folder))
    with pytest.raises(CaskbookError, match="CASKBOOK_STATE"):
        machine.hold_journal(machine.new_token(), b"a")


def test_without_a_home_there_is_a_folder_of_the_user_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("CASKBOOK_STATE")
    monkeypatch.setenv("XDG_STATE_HOME", "/dev/null/nowhere")
    monkeypatch.setattr(machine, "SPARE", str(tmp_path))
    assert machine.state_folder() == tmp_path / f"caskbook-{os.getuid()}"
    machine.state_folder().rmdir()
    (tmp_path / f"caskbook-{os.getuid()}").symlink_to(tmp_path)  # somebody was there first
    with pytest.raises(CaskbookError):
        machine.state_folder()
