"""`report leaks` on small ledgers by hand: views and forms, the place of the day, past days, books of which little is known."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from casks import ev
from cli.test_report_service import book
from commands import caskbook
from laws import others_thorough

RECEIVED = ev("2020-01-01", "receive", verdict="accept")
FILLED = ev("2020-02-01", "fill", spirit="malt", litres=190, abv=63.5, at_20=True, berth="D1/02/3")
WEEP = ev("2020-03-01", "leak", at="joint-4", severity="weep")
CASKS = {
    "TH-000001": ([RECEIVED, FILLED, WEEP, ev("2020-03-11", "look", seen="dry", closed_as="took-up"), ev("2021-02-01", "move", berth="R7/1/2"),
                   ev("2021-12-05", "leak", at="head-A", severity="run")], {"supplier": "northquay"}),
    "TH-000002": ([RECEIVED, FILLED | {"berth": "R7/1/4", "spirit": "grain"}, WEEP, ev("2020-03-05", "peg", at="joint-4", kind="wax")], {}),
    "TH-000003": ([RECEIVED], {}),
}  # fmt: skip
DAY = ("--as-of", "2022-01-01")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The casks, none of which is altered."""
    return book(tmp_path_factory.mktemp("made"), CASKS)


def run(root: Path, *words: str, code: int = 0) -> str:
    found = caskbook("report", "leaks", "--records", str(root), *words)
    assert found.returncode == code, found.stderr
    return found.stdout if code == 0 else found.stderr


def data(root: Path, *words: str, day: str = "2022-01-01") -> dict[str, Any]:
    read: dict[str, Any] = json.loads(run(root, *words, "--as-of", day, "--format", "json"))
    return read


def test_the_answer_stands_first_with_its_denominators(made: Path) -> None:
    text = run(made, *DAY)
    assert text.splitlines()[:6] == [
        "leaks of filled casks up to 2022-01-01, by store",
        "3 casks, as `caskbook list --as-of 2022-01-01` counts: 2 filled at some time + 1",
        "not",
        "3 leaks found in 3.8 cask-years: 782.7 per 1,000 (95 % 161-2287)",
        "1 of 3 healed (half within 10 days) · 1 repaired (half within 4 days): peg 1",
        "1 open",
    ]
    assert "  TH-000001  run at head-A since 2021-12-05, R7/1/2, malt" in text
    assert "by month  21-02  03  04" in text
    assert "the highest lower end of 95 % first\n" in text
    assert "the highest lower end of 95 % first, ? last" in run(made, "--by", "supplier", *DAY)
    assert max(map(len, text.splitlines())) <= 80


def test_leaks_stand_where_the_cask_lay_on_their_day(made: Path) -> None:
    assert {row["name"]: (row["leaks"], row["healed"], row["repaired"], row["open"]) for row in data(made)["groups"]} == {
        "dunnage": (1, 1, 0, 0), "racks": (2, 0, 1, 1),
    }  # fmt: skip
    assert data(made, "--store", "dunnage")["total"][0]["leaks"] == 1
    read = data(made, "--store", "racks", "--by", "row")
    assert [(row["name"], row["leaks"], round(row["cask_years"] * 365.2425)) for row in read["groups"]] == [("R7/1", 2, 334 + 700)]
    assert {row["name"]: row["leaks"] for row in data(made, "--by", "spirit")["groups"]} == {"malt": 2, "grain": 1}
    assert {row["name"]: row["leaks"] for row in data(made, "--by", "supplier")["groups"]} == {"northquay": 2, "?": 1}
    assert {row["name"]: row["leaks"] for row in data(made, "--by", "position")["groups"]} == {"joint": 2, "head": 1}
    assert data(made, day="2020-03-02")["total"][0]["open"] == 2


def test_json_lines_and_csv_hold_the_same_rows(made: Path) -> None:
    read = data(made)
    lines = [json.loads(line) for line in run(made, *DAY, "--format", "jsonl").splitlines()]
    assert lines == [{"part": part, **row} for part in ("groups", "total", "months", "open") for row in read[part]]
    rows = list(csv.DictReader(io.StringIO(run(made, *DAY, "--format", "csv"))))
    assert [row["part"] for row in rows] == [line["part"] for line in lines]
    assert rows[-1]["cask"] == "TH-000001" and rows[-1]["event"] == "e0000006"
    months = {row["month"]: row for row in read["months"]}
    assert len(months) == 24 and (months["2020-03"]["found"], months["2020-03"]["healed"], months["2020-03"]["repaired"]) == (2, 1, 1)


def test_the_views_show_their_part_alone(made: Path) -> None:
    months = [line.split() for line in run(made, "--months", *DAY).splitlines()]
    assert ["2020-03", "2", "1", "1", "0.2", "11782.0", "1427-42561"] in months
    assert run(made, "--open", *DAY).splitlines()[-1] == "  TH-000001  run at head-A since 2021-12-05, R7/1/2, malt"
    assert set(data(made, "--open")) & {"groups", "months", "open"} == {"open"}


def test_each_figure_is_explained(made: Path) -> None:
    text = run(made, "--explain", "--store", "racks", *DAY)
    for figure in (
        "filter: only store racks",
        "store, row, spirit: ",
        "leaks: ",
        "cask-years: ",
        "per 1,000, 95 %: ",
        "few: ",
        "healed: ",
        "repaired: ",
        "by month: ",
    ):
        assert f"\n{figure}" in text
    assert "`caskbook list --as-of 2022-01-01`" in text  # The store is that of the day, and not one that list could filter by.


CLASHES = (
    (("--by", "berth"), "--by berth: expected store, row, type, spirit, supplier or position"), (("--months", "--open"), "--months and --open: expected one of them"),
    (("--explain", "--format", "jsonl"), "--explain --format jsonl: expected text or json"),
)  # fmt: skip


@pytest.mark.parametrize("case", others_thorough(CLASHES, 2))
def test_words_that_are_none_and_options_that_contradict_are_refused(made: Path, case: tuple[tuple[str, ...], str]) -> None:
    words, says = case
    assert says in run(made, *words, code=2)


def test_no_cask_one_cask_and_nothing_known(tmp_path: Path) -> None:
    empty = book(tmp_path / "empty", {})
    assert run(empty, *DAY).splitlines()[1] == "no casks: none is in the book on that day"
    assert run(empty, "--format", "csv") == "part,name,leaks,cask_years,per_1000_cask_years,lower,upper,healed,repaired,open,emptied,left,few\r\n" + (
        "total,all,0,0.0,,,,0,0,0,0,0,yes\r\n"
    )
    dry = book(tmp_path / "dry", {"TH-000001": ([RECEIVED, FILLED | {"berth": "Z9"}], {})})
    text = run(dry, *DAY)
    assert "no leak found in 1.9 cask-years: 0.0 per 1,000 (95 % 0-1925)" in text and "open: none" in text and "no store" in text
    never = run(book(tmp_path / "never", {"TH-000003": CASKS["TH-000003"]}), *DAY)
    assert never.splitlines()[1] == "1 cask, as `caskbook list --as-of 2022-01-01` counts: 0 filled at some time + 1"


def test_a_place_where_nothing_ever_lay_is_told_with_the_nearest(made: Path) -> None:
    found = caskbook("report", "leaks", "--records", str(made), "--store", "dunage")
    assert found.returncode == 0 and "did you mean dunnage?" in found.stderr


def test_a_cask_told_in_part_is_in_no_figure_and_what_was_voided_neither(tmp_path: Path) -> None:
    root = book(tmp_path / "part", CASKS)
    path = root / "casks" / "TH-000" / "TH-000001.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("seen: dry", "seen: drry"), encoding="utf-8")
    read = data(root)
    assert (read["casks"], read["told_in_part"], read["total"][0]["leaks"]) == (3, 1, 1)
    void = ev("2020-03-04", "void", of="e0000003", why="another cask")
    assert data(book(tmp_path / "void", {"TH-000001": ([RECEIVED, FILLED, WEEP, void], {})}))["total"][0]["leaks"] == 0


def test_a_period_is_named_and_cuts_leaks_and_cask_years(tmp_path: Path) -> None:
    root = book(tmp_path, CASKS)
    text = run(root, "--from", "2021", "--to", "2021", "--explain", *DAY)
    assert text.splitlines()[:6] == [
        "leaks of filled casks from 2021-01-01 to 2021-12-31, as the book has it on",
        "2022-01-01, by store",
        "3 casks, as `caskbook list --as-of 2022-01-01` counts: 2 filled in that time + 1",
        "not",
        "1 leak found in 2.0 cask-years: 500.3 per 1,000 (95 % 13-2788)",
        "up to 2022-01-01 0 of 1 healed · 0 repaired · 1 open",
    ]
    assert "open: 1 leak on 2022-01-01, the worst" in text and "\nperiod: leaks found in it" in text
    read = data(root, "--from", "2020-03", "--to", "2020-03-04", "--by", "row")
    assert (read["as_of"], read["from"], read["to"]) == ("2022-01-01", "2020-03-01", "2020-03-04")
    assert [(row["name"], row["leaks"], round(row["cask_years"] * 365.2425)) for row in read["groups"]] == [("D1/02", 1, 4), ("R7/1", 1, 4)]
    assert [(row["found"], row["healed"], row["repaired"]) for row in read["months"]] == [(2, 0, 0)] and read["open"] == []
    assert data(root)["from"] is data(root)["to"] is None
    rows = list(csv.DictReader(io.StringIO(run(root, *DAY, "--from", "2021-12", "--format", "csv"))))
    assert rows and {(row["from"], row["to"]) for row in rows} == {("2021-12-01", "")}
    assert json.loads(run(root, *DAY, "--to", "2020", "--format", "jsonl").splitlines()[0])["to"] == "2020-12-31"


def test_why_a_place_has_no_filled_cask_is_told(tmp_path: Path) -> None:
    """Casks lie there and none was filled; none was in that time; or the place is misspelt."""
    root = book(tmp_path, CASKS | {"TH-000004": ([RECEIVED, ev("2020-01-02", "move", berth="Y1/1/1")], {})})
    house = root / "house.yaml"
    house.write_text(house.read_text(encoding="utf-8").replace("{D: dunnage", "{Y: yard, D: dunnage"), encoding="utf-8")

    def said(*words: str) -> str:
        found = caskbook("report", "leaks", "--records", str(root), *DAY, *words)
        assert found.returncode == 0
        return found.stderr

    assert said("--store", "yard") == "1 cask lies here with --store yard, and none was ever filled there\n"
    assert said("--store", "dunnage", "--from", "2021-03") == (
        "no filled cask lay here with --store dunnage from 2021-03-01 to 2022-01-01, as the book has it on 2022-01-01; at other times one did\n"
    )
    assert said("--store", "attic") == "no cask here fits --store attic; capitals and small letters count\n"
    assert said("--store", "dunnage") == said("--store", "racks", "--from", "2021") == ""
