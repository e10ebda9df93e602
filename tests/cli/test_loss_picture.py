"""`report loss CASK --picture` on a leaker among sound casks, and what it refuses, through the command."""

from __future__ import annotations

from pathlib import Path

import pytest
from casks import cask_data
from commands import caskbook
from loss.filled import START, filled, gauged

from caskbook.yaml.write import flow_text

pytestmark = pytest.mark.thorough

HOUSE = "timezone: UTC\nin_drink_percent: 0\ncrew: [{initials: ab}]\n"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Twenty sound casks, one that leaked after 2019, one never filled."""
    root = tmp_path_factory.mktemp("book")
    (root / "house.yaml").write_text(HOUSE, encoding="utf-8")
    for n in range(1, 21):
        _write(root, f"TH-{n:06d}", filled(), gauged("2019-01-01", round(200 * (0.98 - 0.0002 * (n % 5)) ** 4, 1), 63.1))
    _write(root, "TH-000100", filled(), gauged("2017-01-01", 192.0, 63.3), gauged("2019-01-01", 184.5, 63.1), gauged("2021-01-01", 140.0, 62.9))
    _write(root, "TH-000101")
    return str(root)


def _write(root: Path, number: str, *events: dict[str, object]) -> None:
    data = cask_data(*START, *events, cask=number)
    folder = root / "casks" / number[:6]
    folder.mkdir(parents=True, exist_ok=True)
    head = "".join(f"{key}: {flow_text(value) if isinstance(value, dict | list) else value}\n" for key, value in data.items() if key != "events")
    (folder / f"{number}.yaml").write_text(head + "events:\n" + "".join(f"  - {flow_text(event)}\n" for event in data["events"]), encoding="utf-8")


def test_the_leak_is_drawn_and_explained_within_80_columns(book: str) -> None:
    done = caskbook("report", "loss", "TH-000100", "--picture", "--records", book)
    lines = done.stdout.splitlines()
    assert done.returncode == 0 and all(len(line) <= 80 for line in lines)
    assert "▲ the loss begins between 2019-01-01 and 2021-01-01" in lines
    assert sum(line.count("●") for line in lines) == 4 + 1 and "act:" in lines  # four gauges, and what the sign means
    assert "act: " in caskbook("report", "loss", "TH-000100", "--evidence", "--records", book).stdout


def test_sound_and_never_filled(book: str) -> None:
    done = caskbook("report", "loss", "TH-000003", "TH-000101", "--picture", "--records", book).stdout
    assert "usual:" in done and "never filled with spirit here" in done and "▲" not in done


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--picture",), "--picture: name the casks"),
        (("TH-000100", "--picture", "--evidence"), "the sheet has the pictures in it"),
        (("TH-000100", "--picture", "--by", "year"), "--by is about the account"),
        (("TH-000100", "--picture", "--format", "json"), "--picture --format json: expected text"),
    ],
)
def test_refusals(book: str, options: tuple[str, ...], said: str) -> None:
    done = caskbook("report", "loss", *options, "--records", book)
    assert done.returncode == 2 and said in done.stderr and not done.stdout
