"""`list`: casks by fact."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import Shop
from index.book import DAY, make_demo


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("demo") / "book", 60)


def listed(root: Path, *words: str, day: str = DAY) -> list[dict[str, object]]:
    done = caskbook("list", "--format", "json", *words, "--records", str(root), "--as-of", day)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert isinstance(found, list)
    return found


@pytest.mark.thorough
def test_filters_narrow_and_any_word_of_one_filter_fits(demo: Path) -> None:
    whole = listed(demo)
    for words, fits in (
        (("--state", "filled"), lambda row: row["state"] == "filled"),
        (("--type", "barrel", "--type", "hogshead"), lambda row: row["type"] in ("barrel", "hogshead")),
        (("--berth", "R4"), lambda row: (row["berth"] or "").startswith("R4")),
        (("--where", "fills_since_char >= 2 -- all of them"), lambda row: (row["fills_since_char"] or 0) >= 2),
        (
            ("--state", "filled", "--where", "age_years < 10 OR 0"),
            lambda row: row["state"] == "filled" and row["age_years"] is not None and row["age_years"] < 10,
        ),
    ):
        assert listed(demo, *words) == [row for row in whole if fits(row)], words


@pytest.mark.thorough
def test_columns_and_order(demo: Path) -> None:
    rows = listed(demo, "--columns", "cask,years_since_char", "--sort", "-years_since_char,cask")
    assert list(rows[0]) == ["cask", "years_since_char"]
    known = [row["years_since_char"] for row in rows if row["years_since_char"] is not None]
    assert known == sorted(known, reverse=True) and len(known) > 10
    assert all(row["years_since_char"] is None for row in rows[len(known) :])


def test_csv_holds_the_same_rows(demo: Path) -> None:
    done = caskbook("list", "--format", "csv", "--columns", "cask,state,marks,wine_held", "--records", str(demo), "--as-of", DAY)
    rows = list(csv.DictReader(io.StringIO(done.stdout)))
    told = listed(demo, "--columns", "cask,state,marks,wine_held")
    assert [(row["cask"], row["wine_held"]) for row in rows] == [(row["cask"], {True: "yes", False: "no", None: ""}[row["wine_held"]]) for row in told]


@pytest.mark.thorough
def test_a_cask_has_no_row_before_its_first_event(demo: Path) -> None:
    assert listed(demo, day="1990-01-01") == []
    assert 0 < len(listed(demo, day="2010-01-01")) < len(listed(demo))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--where", "fils > 3"), "no such column: fils; did you mean fills?"),
        (("--columns", "cask,brth"), "no such column: brth; did you mean berth?"),
        (("--sort", "-agee_years"), "no such column: agee_years; did you mean age_years?"),
        (("--where", "fills >"), "SQL: "),
        (("--where", "1) ; DROP TABLE life --"), 'SQL: near ")": syntax error'),
        (("--format", "xml"), "--format xml"),
    ],
)
def test_what_cannot_be_asked_is_one_line(demo: Path, words: tuple[str, ...], said: str) -> None:
    done = caskbook("list", *words, "--records", str(demo))
    assert done.returncode == 2 and said in done.stderr and done.stderr.count("\n") == 1, done.stderr


def test_text_has_a_heading_and_the_count(demo: Path) -> None:
    done = caskbook("list", "--state", "filled", "--records", str(demo), "--as-of", DAY)
    lines = done.stdout.splitlines()
    assert lines[0].startswith("cask") and lines[-1] == f"{len(lines) - 3} casks"


@pytest.mark.thorough
@pytest.mark.parametrize("mode", ["on", "off"])
def test_a_house_that_cannot_be_read_at_all_is_told_as_that(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: str) -> None:
    """And one that lacks a single setting as one."""
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    shop = Shop(tmp_path, "name: House\ntimezone: [\n")
    for text, said in (
        ("name: House\ntimezone: [\n", "house.yaml cannot be read whole: what it lacks stands at the default"),
        ("timezone: [UTC]\n", "house.yaml: 1 setting cannot be read"),
    ):
        (shop.root / "house.yaml").write_text(text, encoding="utf-8")
        for command in ("list", "due"):
            done = caskbook(command, "--records", str(shop.root))
            assert said in done.stderr, (command, done.stderr)


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
def test_a_char_of_a_year_is_no_time_ago_before_its_july(tmp_path: Path, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    house = Shop(tmp_path)
    house.put({"date": "2015-04-01", "job": "receive", "verdict": "accept"}, cask="TH-007005", charred=2015)
    for day, years in {"2015-05-01": None, "2015-06-30": None, "2015-07-01": 0.0, "2016-07-01": 1.002}.items():
        assert listed(house.root, "--columns", "cask,years_since_char", day=day) == [{"cask": "TH-007005", "years_since_char": years}], day
        assert json.loads(caskbook("show", "TH-007005", "--format", "json", "--as-of", day, "--records", str(house.root)).stdout)["years_since_char"] == years
    assert listed(house.root, "--where", "years_since_char < 0", day="2015-05-01") == []
    shown = caskbook("show", "TH-007005", "--as-of", "2015-05-01", "--records", str(house.root)).stdout
    assert "about 2015, before us" in shown and "ago" not in shown
