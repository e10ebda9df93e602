"""The command: a whole ledger as `init` makes one, with casks in it; refusals in one line."""

from __future__ import annotations

from pathlib import Path

import pytest

from caskbook.cli.commands.demo import run
from caskbook.cli.commands.init import ATTRIBUTES, IGNORED
from caskbook.core.finding import CaskbookError
from caskbook.ledger.files import open_folder


def test_it_makes_a_ledger(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    root = tmp_path / "records"
    assert run(str(root), 35, 4, "2024-02-29", 0.0) == 0
    shown = capsys.readouterr()
    assert shown.out == f"a demo ledger of 35 casks in {root}\n"
    assert shown.err == f"next: caskbook due --records {root} --as-of 2024-02-29\n"
    assert (root / ".gitattributes").read_text() == ATTRIBUTES and (root / ".gitignore").read_text() == IGNORED
    assert (tmp_path / "schemas" / "cask.schema.json").is_file()
    ledger = open_folder(root, tmp_path)
    assert len(ledger.ids()) == 35 and not ledger.house_file.findings


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "book").mkdir()
    assert run(str(tmp_path / "book"), 3, 1) == 0
    assert len(list((tmp_path / "book" / "casks").rglob("*.yaml"))) == 3
    with pytest.raises(CaskbookError, match="not empty"):
        run(str(tmp_path / "book"), 3, 1)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"casks": 0}, "--casks 0: expected 1 to"), ({"casks": 10**9}, "expected 1 to"), ({"until": "29.2.2024"}, "expected a day"),
        ({"until": "2003-01-01"}, "expected a day from"), ({"until": "2090-01-01"}, "to 2086-12-31"), ({"leakers": 0.9}, "share from 0 to 0.5"),
        ({"leakers": float("nan")}, "share from 0 to 0.5"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(tmp_path: Path, changed: dict[str, object], told: str) -> None:
    with pytest.raises(CaskbookError, match=told):
        run(str(tmp_path / "x"), **{"casks": 5, "seed": 1, **changed})  # type: ignore[arg-type]
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_its_place_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "x").write_text("mine")
    with pytest.raises(CaskbookError, match="no folder"):
        run(str(tmp_path / "x"), 5, 1)
    assert (tmp_path / "x").read_text() == "mine"
