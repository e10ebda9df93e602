"""`report parts` on small ledgers by hand: views and forms, filters, past days, books of which little is known."""

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
OPENED, CLOSED = ev("2020-01-02", "open", heads=["A"]), ev("2020-01-04", "close", heads=["A"])
FLAG = ev("2020-01-05", "flag", at=["joint-4"])
FILLED = ev("2020-02-01", "fill", spirit="malt", litres=190, abv=63.5, at_20=True)
LEAK = ev("2020-03-01", "leak", at="joint-4", severity="weep")
GIVEN = ev("2020-01-03", "stave", staves=[1, 14], action="replace", from_="TH-000003")
RETIRED = ev("2019-01-02", "retire", reasons=["thin"], approved_by="ab")
CASKS = {
    "TH-000001": ([RECEIVED, OPENED, GIVEN, CLOSED, FLAG, FILLED, LEAK], {"supplier": "northquay"}),
    "TH-000002": ([RECEIVED], {"type": "butt", "capacity_l": 500, "staves": "absent", "hoops": "absent"}),
    "TH-000003": ([RECEIVED | {"date": "2019-01-01"}, RETIRED, ev("2019-01-03", "break-up", staves_saved=24)], {}),
}
DAY = ("--as-of", "2022-01-01")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The casks, none of which is altered."""
    return book(tmp_path_factory.mktemp("made"), CASKS)


def run(root: Path, *words: str, code: int = 0) -> str:
    found = caskbook("report", "parts", "--records", str(root), *words)
    assert found.returncode == code, found.stderr
    return found.stdout if code == 0 else found.stderr


def data(root: Path, *words: str, day: str = "2022-01-01") -> dict[str, Any]:
    read: dict[str, Any] = json.loads(run(root, *words, "--as-of", day, "--format", "json"))
    return read


def test_the_first_screen_has_parts_places_and_donors(made: Path) -> None:
    text = run(made, *DAY)
    assert text.splitlines()[:3] == [
        "parts replaced up to 2022-01-01, by part",
        "3 casks, as `caskbook list --as-of 2022-01-01` counts: 3 watched for 4.0",
        "cask-years",
    ]
    rows = [line.split() for line in text.splitlines()]
    assert ["bung", "stave", "1", "4.0", "249.65", "6-1391", "0", "1", "0", "few"] in rows
    assert "staves not counted in 1 cask\nhoops not counted in 1 cask" in text
    assert "1 of 3 places put right leaked again within 365 days: 33.3 % (95 % 6.1-79.2)\n0 not followed so long" in text
    assert "  TH-000001  joint-4: flag 2020-01-05, leaked again after 56 days (leak)" in text
    assert "donors: 1 cask gave parts to 1 · 2 staves in repairs" in text and "1 broken up, 0 of these gave nothing yet" in text
    assert "  TH-000003 (broken up 2019-01-03, 24 staves saved, 22 left): 2 staves to" in text
    assert max(map(len, text.splitlines())) <= 80


def test_json_lines_and_csv_hold_the_same_rows(made: Path) -> None:
    read = data(made)
    assert {row["name"]: (row["replaced"], row["new"], row["given"]) for row in read["replaced"] if row["replaced"]} == {
        "bung stave": (1, 0, 1), "each other stave": (1, 0, 1),
    }  # fmt: skip
    assert [row["staves_left"] for row in read["givers"]] == [22] and read["gifts"][0]["count"] == 2
    lines = [json.loads(line) for line in run(made, *DAY, "--format", "jsonl").splitlines()]
    assert lines == [{"part": part, **row} for part in ("replaced", "places", "all_places", "again", "givers", "gifts") for row in read[part]]
    rows = list(csv.DictReader(io.StringIO(run(made, *DAY, "--format", "csv"))))
    assert [row["part"] for row in rows] == [line["part"] for line in lines]


def test_the_views_show_their_part_alone(made: Path) -> None:
    assert run(made, "--again", *DAY).splitlines()[-1] == "  TH-000001  joint-4: flag 2020-01-05, leaked again after 56 days (leak)"
    assert run(made, "--again", "--within", "55", *DAY).splitlines()[-1] == "none within 55 days"
    both = run(made, "--donors", *DAY)
    assert "  TH-000001: 2 staves of TH-000003" in both.splitlines() and "1 cask with parts of others" in both.splitlines()
    assert set(data(made, "--donors")) & {"replaced", "again", "gifts"} == {"gifts"} and data(made, "--within", "55")["again"] == []


def test_by_position_the_day_and_the_filters(made: Path) -> None:
    by_position = {row["name"]: row["replaced"] for row in data(made, "--by", "position")["replaced"]}
    assert (by_position["bung stave"], by_position["stave 14"], by_position["stave 31"], "stave 1" in by_position) == (1, 1, 0, False)
    assert data(made, day="2020-01-02")["replaced"][0]["replaced"] == 0 and data(made, day="2019-06-01")["casks"] == 1
    assert data(made, "--type", "butt")["gifts"] == []
    read = data(made, "--supplier", "northquay")
    assert (read["casks"], read["givers"][0]["cask"], read["givers"][0]["state"], read["givers"][0]["staves_left"]) == (1, "TH-000003", "gone", 22)


def test_each_figure_is_explained(made: Path) -> None:
    text = run(made, "--explain", "--within", "90", *DAY)
    for figure in (
        "filter: none",
        "replaced: ",
        "years: ",
        "bung stave: ",
        "per 1,000, 95 %: ",
        "few: ",
        "new, given, else: ",
        "put right: ",
        "leaked again: ",
        "donors: ",
    ):
        assert f"\n{figure}" in text
    assert "setting: --within 90" in text


CLASHES = (
    (("--by", "type"), "--by type: expected part or position"), (("--again", "--donors"), "--again and --donors: expected one of them"),
    (("--explain", "--format", "csv"), "--explain --format csv: expected text or json"),
)  # fmt: skip


@pytest.mark.parametrize("case", others_thorough(CLASHES, 2))
def test_words_that_are_none_and_options_that_contradict_are_refused(made: Path, case: tuple[tuple[str, ...], str]) -> None:
    words, says = case
    assert says in run(made, *words, code=2)


def test_no_cask_one_cask_and_nothing_known(tmp_path: Path) -> None:
    empty = book(tmp_path / "empty", {})
    assert run(empty, *DAY).splitlines()[1] == "no casks: none is in the book on that day"
    assert data(empty, "--again")["again"] == []
    one = run(book(tmp_path / "one", {"TH-000002": CASKS["TH-000002"]}), *DAY)
    assert "no place was put right: none leaked again" in one and "donors: none gave parts, 0 casks broken up" in one
    assert ["each", "other", "stave", "0", "0.0", "-", "-", "0", "0", "0", "few"] in [line.split() for line in one.splitlines()]


def test_a_cask_told_in_part_is_in_no_figure_and_what_was_voided_neither(tmp_path: Path) -> None:
    root = book(tmp_path / "part", CASKS)
    path = root / "casks" / "TH-000" / "TH-000001.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("action: replace", "action: replaced"), encoding="utf-8")
    read = data(root)
    assert (read["casks"], read["told_in_part"], read["watched"], read["gifts"]) == (3, 1, 2, [])
    void = ev("2020-01-06", "void", of="e0000003", why="another cask")
    assert data(book(tmp_path / "void", {"TH-000001": ([RECEIVED, OPENED, GIVEN, CLOSED, void], {})}))["replaced"][0]["replaced"] == 0


def test_a_period_is_named_and_cuts_what_was_replaced_and_put_right(tmp_path: Path) -> None:
    root = book(tmp_path, CASKS)
    text = run(root, "--from", "2020-01-03", "--to", "2020-01-04", "--explain", *DAY)
    assert text.splitlines()[:4] == [
        "parts replaced from 2020-01-03 to 2020-01-04, as the book has it on 2022-01-01,",
        "by part",
        "3 casks, as `caskbook list --as-of 2022-01-01` counts: 2 watched for 0.0",
        "cask-years in that time + 1 not",
    ]
    assert "0 of 2 places put right leaked again within 365 days, seen up to 2022-01-01:" in text and "\nperiod: what was replaced in it" in text
    read = data(root, "--from", "2020-01-04")
    assert (read["from"], read["to"], read["watched"], read["gifts"]) == ("2020-01-04", None, 2, [])
    assert [row["replaced"] for row in read["replaced"]] == [0] * 7 and [row["at"] for row in read["again"]] == ["joint-4"]
    given = run(root, "--donors", "--from", "2020", "--to", "2020", *DAY)
    assert "(broken up 2019-01-03, 24 staves saved, 22 left): 2 staves to TH-000001" in " ".join(given.split())
    told = " ".join(run(root, "--from", "2020", *DAY).replace("·", "").split())
    assert "donors: 1 cask gave parts to 1 2 staves in repairs 0 broken up" in told
    assert "TH-000003 (broken up 2019-01-03, 24 staves saved, 22 left): nothing in that\n  time" in run(root, "--donors", "--to", "2019", *DAY)


def test_a_place_that_leaked_early_is_named_and_said_to_be_in_no_share(tmp_path: Path) -> None:
    root = book(tmp_path, CASKS)
    text = " ".join(run(root, "--as-of", "2020-06-01").replace("·", "").split())
    assert "no place was followed so long 3 not followed so long 1 of these leaked again already: named below, in no share" in text
    assert "TH-000001 joint-4: flag 2020-01-05, leaked again after 56 days (leak), not followed so long" in text
    assert [row["followed"] for row in data(root, day="2020-06-01")["again"]] == [False] and [row["followed"] for row in data(root)["again"]] == [True]


@pytest.mark.thorough
@pytest.mark.parametrize("two_for_one", [[5], [5, "5b"]])
def test_two_staves_for_one_are_one_replaced_and_two_given_however_it_is_written(tmp_path: Path, two_for_one: list[int | str]) -> None:
    """Of three staves saved two go in for 5 and one for 13 and 14: nothing is left, `check` has no fault, and what came out is three, as of the service."""
    two = ev("2020-01-03", "stave", staves=two_for_one, action="replace", from_="TH-000003", staves_after=32)
    one = ev("2020-01-03", "stave", staves=[13, 14], action="replace", from_="TH-000003", staves_after=31, id="e9000001")
    saved = [*CASKS["TH-000003"][0][:2], ev("2019-01-03", "break-up", staves_saved=3)]
    root = book(tmp_path, {"TH-000001": ([RECEIVED, OPENED, two, one, CLOSED], {}), "TH-000003": (saved, {})})
    read = data(root)
    assert {row["name"]: (row["replaced"], row["given"]) for row in read["replaced"] if row["replaced"]} == {"each other stave": (3, 3)}
    assert ([row["staves_left"] for row in read["givers"]], read["gifts"][0]["count"]) == ([0], 3)
    assert "donor-out-of-staves" not in caskbook("check", "--records", str(root), "--format", "json").stdout
    served = caskbook("report", "service", "stave", "--records", str(root), *DAY, "--format", "json")
    assert served.returncode == 0 and json.loads(served.stdout)["accounts"][0]["from_receipt"]["ends"] == {"replaced": 3}
