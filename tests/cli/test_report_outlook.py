"""`report outlook` through the command: its forms, options, filters, books of which little is known, and the same figures each time."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook

HOUSE = "timezone: UTC\nstores: {D: dunnage, R: racks}\ncrew: [{initials: ab}, {initials: kd}]\njob_hours: {test: 0.5, char: 1.5}\n"
DAY = ("--as-of", "2021-12-31")


def life(n: int, first: date, *, months: int = 24) -> list[dict[str, Any]]:
    """A cask filled again and again for so many months, emptied, examined and tested, up to the end of 2021."""
    events, day = [ev(str(first), "receive", verdict="accept")], first + timedelta(days=5)
    while day < date(2021, 12, 1):
        events.append(ev(str(day), "fill", spirit="malt", litres=190, abv=63.5, at_20=True, berth="R1" if n % 2 else "D1"))
        if n % 3 == 0:
            events.append(ev(str(day + timedelta(days=100)), "leak", at="joint-4", severity="weep"))
            events.append(ev(str(day + timedelta(days=110)), "look", seen="dry"))
        day += timedelta(days=round(30.4 * months) + 13 * (n % 5))
        if day >= date(2021, 12, 1):
            break
        events.append(ev(str(day), "empty", litres=150, abv=60, at_20=True))
        events.append(ev(str(day + timedelta(days=2)), "examine", verdict="sound"))
        events.append(ev(str(day + timedelta(days=3)), "test", result="pass", psi=11))
        day += timedelta(days=20)
    return events


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Forty barrels and two hogsheads in a house of ten years."""
    root = tmp_path_factory.mktemp("outlook")
    (root / "house.yaml").write_text(HOUSE, encoding="utf-8")
    for n in range(42):
        cask = f"TH-{n:06d}"
        path = root / "casks" / cask[:-3] / f"{cask}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        head = {"type": "hogshead", "capacity_l": 250} if n > 39 else {}
        path.write_text(yaml.safe_dump(cask_data(*life(n, date(2012, 1, 3) + timedelta(days=40 * n)), cask=cask, **head), sort_keys=False), encoding="utf-8")
    yield root


def told(root: Path, *words: str, code: int = 0) -> str:
    found = caskbook("report", "outlook", "--records", str(root), *DAY, *words)
    assert found.returncode == code, found.stderr
    return found.stdout if not code else found.stderr


def flat(text: str) -> str:
    """Without the breaks of lines."""
    return " ".join(text.split())


def data(root: Path, *words: str) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(told(root, *words, "--format", "json"))
    return read


@pytest.mark.thorough
def test_every_form_holds_what_the_text_shows(root: Path) -> None:
    text, whole = told(root), data(root)
    rows = whole["rows"]
    lines = [json.loads(line) for line in told(root, "--format", "jsonl").splitlines()]
    table = list(csv.DictReader(io.StringIO(told(root, "--format", "csv"))))
    assert lines == rows and len(table) == len(rows)
    for row, cells in zip(rows, table, strict=True):
        assert cells["count"] == row["count"] and cells["low"] == ("" if row["low"] is None else str(row["low"])) and cells["seed"] == "1"
    heads = {
        "tips": "tips",
        "re-chars": "re-char",
        "fillings": "fill",
        "examinations": "examine",
        "tests": "test",
        "leaks": "leaks",
        "closed": "closed",
        "hours": "hours",
    }
    block = next(part for part in text.split("\n\n") if part.lstrip().startswith("tips"))
    names = block.splitlines()[0].split()
    assert names == [heads[name] for name in heads if any(row["count"] == name and row["low"] is not None for row in rows)]
    for line in block.splitlines()[1:]:
        name, *cells = line.split()
        bands = [f"{row['middle']:.0f} {row['low']}-{row['high']}" for row in rows if row["name"] == name and row["low"] is not None]
        assert " ".join(cells) == " ".join(bands)
    assert [line.split()[0] for line in block.splitlines()[1:]] == [*(f"2022-{n:02d}" for n in range(1, 13)), "all"]
    assert "no range, for the book has too few in the months looked at, 20 wanted: retired 0" in flat(text)
    assert all(len(line) <= 80 for line in text.splitlines())


@pytest.mark.thorough
def test_the_same_seed_and_book_give_the_same_bytes_by_index_and_by_files(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = told(root, "--format", "json")
    assert told(root, "--format", "json") == first and "seed 1" in told(root)
    assert data(root, "--seed", "2")["rows"] != json.loads(first)["rows"]
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    assert told(root, "--format", "json") == first


@pytest.mark.thorough
def test_no_figure_hangs_on_the_order_in_which_words_are_kept(root: Path) -> None:
    """Python shuffles what is kept by words anew in each process; the lines come in another order from files than from an index."""
    told_so = set()
    for seed, index in (("1", "off"), ("2", "off"), ("3", "")):
        command = [sys.executable, "-m", "caskbook", "report", "outlook", "--records", str(root), *DAY, "--months", "60", "--format", "json"]
        environment = {**os.environ, "PYTHONHASHSEED": seed, "CASKBOOK_INDEX": index}
        told_so.add(subprocess.run(command, env=environment, capture_output=True, check=True, text=True).stdout)
    assert len(told_so) == 1


@pytest.mark.thorough
def test_bands_months_and_years(root: Path) -> None:
    fifty, ninety_five = (data(root, "--band", word, "--months", "20")["rows"] for word in ("50", "95"))
    assert all(wide["low"] <= row["low"] and row["high"] <= wide["high"] for row, wide in zip(fifty, ninety_five, strict=True) if row["low"] is not None)
    assert {row["name"] for row in fifty if row["kind"] == "year"} == {"2022", "2023"} and len({row["name"] for row in fifty if row["kind"] == "month"}) == 20
    assert len({row["name"] for row in data(root, "--months", "60")["rows"] if row["kind"] == "month"}) == 60


@pytest.mark.thorough
def test_the_rest_of_a_month_is_marked(root: Path) -> None:
    found = caskbook("report", "outlook", "--records", str(root), "--as-of", "2021-12-10", "--months", "1").stdout
    assert found.startswith("outlook of the rest of 2021-12 to 2022-01") and re.search(r"^2021-12\* ", found, re.M)
    assert "* the rest of the month, from the day after 2021-12-10" in found


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--months", "61"], "--months 61: expected 1 to 60"),
        (["--months", "0"], "--months 0: expected 1 to 60"),
        (["--band", "90"], "--band 90: expected 50, 80 or 95"),
        (["--format", "yaml"], "--format yaml: expected text, json, jsonl or csv"),
        (["--explain", "--format", "csv"], "--explain --format csv: expected text or json"),
        (["--origins", "8"], "--origins goes with --back-test"),
        (["--back-test", "--origins", "5"], "--origins 5: expected 6 to 30"),
        (["--back-test", "--origins", "31"], "--origins 31: expected 6 to 30"),
        (["--back-test", "--type", "barrel"], "--type with --back-test"),
        (["--back-test", "--months", "3"], "--months 3 with --back-test"),
        (["--back-test", "--band", "95"], "--band 95 with --back-test: it tells of the ranges of 50, 80 and 95 %"),
        (["--back-test", "--at", "HEAD"], "--at with --back-test"),
        (["--back-test", "--explain", "--format", "jsonl"], "--explain --format jsonl: expected text or json"),
    ],
)
def test_what_is_refused(root: Path, words: list[str], says: str) -> None:
    assert says in told(root, *words, code=2)


@pytest.mark.thorough
def test_filters_are_those_of_list_and_close(root: Path) -> None:
    whole, barrels, hogsheads = data(root), data(root, "--type", "barrel"), data(root, "--type", "hogshead")
    assert whole["full"] == barrels["full"] + hogsheads["full"] and barrels["casks"] == 40
    assert hogsheads["curves"] == [{"of": "malt", "ends": whole["curves"][-1]["ends"], "for": [{"type": "hogshead", "spirit": "malt"}]}]
    racks, dunnage = data(root, "--store", "racks", "--band", "50"), data(root, "--store", "dunnage", "--band", "50")
    assert racks["full"] + dunnage["full"] == whole["full"]
    tips = [next(row["middle"] for row in one["rows"] if row["name"] == "all" and row["count"] == "tips") for one in (whole, racks, dunnage)]
    assert abs(tips[0] - tips[1] - tips[2]) <= 3
    text = told(root, "--store", "racks", "--explain")
    assert "of the 120 months up to 2021-12" in flat(text)
    assert "only store racks" in text and "the scatter is that of all casks" in " ".join(text.split())


@pytest.mark.thorough
def test_a_filter_that_nothing_fits_is_said(root: Path) -> None:
    found = caskbook("report", "outlook", "--records", str(root), *DAY, "--store", "rackz")
    assert found.returncode == 0 and "did you mean racks?" in found.stderr and "no casks" in found.stdout and "tips" not in found.stdout


@pytest.mark.thorough
def test_what_each_figure_means(root: Path) -> None:
    text = flat(told(root, "--explain"))
    assert f"job_hours of house.yaml as in force on {DAY[1]}, in all months: " in text
    for word in (
        "Kaplan and Meier 1958",
        "middle, range: half of 1000 drawn courses",
        "of: 42 casks",
        "tips, malt in barrel:",
        "left out: of",
        "hours of each job",
        "barrel 5, 2 after a re-char",
    ):
        assert word in text, word
    assert [one["figure"] for one in data(root, "--explain")["explain"]][:2] == ["filter", "of"]


@pytest.mark.thorough
def test_hours_are_told_where_the_house_says_them(root: Path, tmp_path: Path) -> None:
    assert any(row["count"] == "hours" for row in data(root)["rows"])
    assert "test 0.5" in told(root, "--explain")


def one_cask(root: Path, *events: dict[str, Any], **head: Any) -> Path:
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\n", encoding="utf-8")
    (root / "casks" / "TH-004" / "TH-004217.yaml").write_text(yaml.safe_dump(cask_data(*events, **head), sort_keys=False), encoding="utf-8")
    return root


def test_one_cask_is_no_ground_for_a_range(tmp_path: Path) -> None:
    text = told(one_cask(tmp_path, *life(1, date(2015, 1, 1))))
    assert "1 cask full, 0 empty or seasoning, not retired; 1 in the book with the gone" in flat(text)
    assert "no range" in text and re.search(r"wanted: tips \d,", flat(text)) and "\n2022-01 " not in text


def test_months_full_are_told_as_they_are_counted(tmp_path: Path) -> None:
    """Filled on the last day of a March and emptied on the first of the next May: three months, of which it lay full for one and two days."""
    came = [ev("2021-01-04", "receive", verdict="accept"), ev("2021-01-05", "examine", verdict="sound")]
    spirit = [ev("2021-03-31", "fill", spirit="malt", litres=190, abv=63.5, at_20=True), ev("2021-05-01", "empty", litres=188, abv=63.5, at_20=True)]
    text = flat(told(one_cask(tmp_path, *came, *spirit), "--explain"))
    assert "leaks 0 in 3 months in which a cask lay full, each counted whole" in text and "cask-years" not in text


def test_a_cask_full_of_wine_is_not_called_empty(tmp_path: Path) -> None:
    seasoned = [ev("2021-01-04", "receive", verdict="accept"), ev("2021-01-05", "season", wine="oloroso", litres=190)]
    text = flat(told(one_cask(tmp_path, *seasoned), "--explain"))
    assert "0 casks full, 1 empty or seasoning, not retired" in text
    assert "0 full and 1 empty or seasoning and not retired on the day" in text
    assert "fillings: casks in no fill that are filled, by how long they stood empty or seasoning" in text


def test_a_cask_told_in_part_is_left_out_and_counted(tmp_path: Path) -> None:
    text = told(one_cask(tmp_path, *life(1, date(2015, 1, 1)), ev("2020-01-01", "frobnicate")))
    assert "no casks" in text
    (tmp_path / "casks" / "TH-004" / "TH-004218.yaml").write_text("cask: [", encoding="utf-8")
    assert "left out, for not all of their files can be read: 2 casks; caskbook check" in flat(told(tmp_path, "--back-test"))
    assert data(tmp_path, "--back-test")["told_in_part"] == 2


@pytest.mark.thorough
def test_an_empty_book(tmp_path: Path) -> None:
    (tmp_path / "casks").mkdir()
    (tmp_path / "house.yaml").write_text("timezone: UTC\n", encoding="utf-8")
    assert "no casks: none is in the book on that day" in told(tmp_path)
    assert "too few days to forecast from, 0; 6 wanted" in flat(told(tmp_path, "--back-test"))
    assert list(csv.reader(io.StringIO(told(tmp_path, "--back-test", "--format", "csv"))))[1:] == []


@pytest.mark.thorough
def test_the_back_test_in_every_form(root: Path) -> None:
    text, whole = told(root, "--back-test", "--origins", "6"), data(root, "--back-test", "--origins", "6")
    lines = [json.loads(line) for line in told(root, "--back-test", "--origins", "6", "--format", "jsonl").splitlines()]
    table = list(csv.DictReader(io.StringIO(told(root, "--back-test", "--origins", "6", "--format", "csv"))))
    assert lines == whole["rows"] and [cells["n"] for cells in table] == [str(row["n"]) for row in lines]
    assert [one["revision"] for one in whole["origins"]] == [None] * 6 and whole["origins"][0]["day"] == "2015-12-31"
    (tips,) = (row for row in lines if (row["count"], row["forecast"], row["band"]) == ("tips", "outlook", 80))
    assert tips["n"] == 60 and tips["coverage"] == round(tips["in_it"] / 60, 6)  # At the first day the book had too few ends.
    (year,) = (row for row in lines if (row["count"], row["forecast"], row["band"]) == ("tips", "together", 80))
    assert year["n"] == 5 and re.search(r"^  all months together +5 ", text, re.M)
    assert re.search(r"^ +months +50 % +width +80 % +width +95 % +width$", text, re.M) and "width: from the low to the high end" in " ".join(text.split())
    assert "tips: too few ends at 1 of 6 days, which are in none of its rows" in text and whole["too_few"]["tips"] == 1
    assert f"{100 * tips['coverage']:.0f} %" in next(line for line in text.splitlines() if line.startswith("tips, outlook"))
    assert "git has none" in " ".join(text.split()) and all(len(line) <= 80 for line in text.splitlines())
    assert "own draws: share of the drawn courses" in " ".join(told(root, "--back-test", "--origins", "6", "--explain").split())
