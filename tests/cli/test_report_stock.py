"""`report stock` on a small ledger by hand: its tables in every form, filters, limits by type, and books of which little is known."""

from __future__ import annotations

import csv
import io
import json
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook
from laws import others_thorough

HOUSE = "timezone: UTC\nstores: {D: dunnage, R: racks}\ncrew: [{initials: ab}]\n"
DAY = ("--as-of", "2022-01-01")
RECEIVED = ev("2015-01-01", "receive", verdict="accept")


def filled(day: str = "2015-02-01", berth: str = "R1", spirit: str = "malt") -> list[dict[str, Any]]:
    return [ev(day, "fill", spirit=spirit, litres=190, abv=63.5, at_20=True, berth=berth)]


def emptied(day: str) -> dict[str, Any]:
    return ev(day, "empty", litres=150, abv=60, at_20=True)


def book(root: Path, casks: dict[str, tuple[list[dict[str, Any]], dict[str, Any]]], house: str = HOUSE) -> Path:
    root.mkdir(exist_ok=True)
    (root / "house.yaml").write_text(house, encoding="utf-8")
    (root / "casks").mkdir(exist_ok=True)
    for cask, (events, head) in casks.items():
        path = root / "casks" / cask[:-3] / f"{cask}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(yaml.safe_dump(cask_data(*events, cask=cask, **head), sort_keys=False), encoding="utf-8")
    return root


THREE = {
    "TH-000001": ([RECEIVED, *filled(), emptied("2018-01-01"), *filled("2018-02-01")], {}),
    "TH-000002": ([RECEIVED, *filled(berth="D1")], {"type": "butt", "capacity_l": 500, "charred": "never", "prior": [{"contents": "oloroso", "fills": 2}]}),
    "TH-000003": ([RECEIVED], {"type": "hogshead", "capacity_l": 250, "charred": "unknown", "parcel": "P-1"}),
}
TWO_GONE = THREE | {
    "TH-000004": ([RECEIVED, ev("2016-01-01", "dispose", how="sold")], {}),
    "TH-000005": ([RECEIVED, ev("2016-01-01", "send", to="shop-a", why="repair")], {}),
}


def told(root: Path, *words: str) -> str:
    found = caskbook("report", "stock", "--records", str(root), *DAY, *words)
    assert found.returncode == 0, found.stderr
    return found.stdout


def data(root: Path, *words: str) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(told(root, *words, "--format", "json"))
    return read


def cells(text: str, name: str) -> list[str]:
    """The figures of the row of this name."""
    (line,) = (line for line in text.splitlines() if line.startswith(f"{name} ") and line.split()[-1].isdecimal())
    return line.split()[1:]


def test_three_casks_by_hand(tmp_path: Path) -> None:
    text = told(book(tmp_path, THREE))
    assert text.splitlines()[:3] == [
        "stock on 2022-01-01, by type and fills since char",
        "3 casks, as `caskbook list --as-of 2022-01-01` counts: 3 in stock + 0 gone",
        "in stock: 3 here, 0 away, 0 missing; gone: in no table; joined: counted once",
    ]
    assert "type      0  1  2  3  4  5+  never  ?  total  limit  at limit" in text
    assert cells(text, "barrel") == ["0", "0", "0", "1", "0", "0", "0", "0", "1", "5", "0"]  # One before us, two here.
    assert cells(text, "butt") == ["0", "0", "0", "0", "0", "0", "1", "0", "1", "none", "0"]
    assert cells(text, "hogshead") == ["0", "0", "0", "0", "0", "0", "0", "1", "1", "5", "0"]
    assert cells(text, "all") == ["0", "0", "0", "1", "0", "0", "1", "1", "3", "0"]
    assert "state: filled 2 · unexamined 1" in text
    assert "age, 2 of 2 with spirit known: 3-5 years 1 · 6-8 years 1 · no spirit 1" in text
    assert "store: dunnage 1 · racks 1 · ? 1" in text
    assert "limit: due.rechar.due_at 5, 2 after a re-char; see due rechar, --explain" in text


@pytest.mark.thorough
def test_gone_casks_stand_beside_and_away_ones_in_the_tables(tmp_path: Path) -> None:
    root = book(tmp_path, TWO_GONE)
    assert "5 casks, as `caskbook list --as-of 2022-01-01` counts: 4 in stock + 1 gone" in told(root)
    read = data(root, "--by", "store")
    assert read["whereabouts"] == {"here": 3, "away": 1, "missing": 0, "gone": 1}
    assert [(row["name"], row["casks"]) for row in read["tables"][0]["rows"]] == [("dunnage", 1), ("racks", 1), ("(away)", 1), ("?", 1)]


@pytest.mark.thorough
def test_a_joined_number_counts_once_as_list_has_it(tmp_path: Path) -> None:
    joined = {"TH-000006": ([RECEIVED, ev("2016-01-01", "same-as", of="TH-000005", why="read twice")], {})}
    root = book(tmp_path, TWO_GONE | joined)
    assert data(root)["listed"] == len(json.loads(caskbook("list", "--records", str(root), *DAY, "--format", "json").stdout)) == 5


FILTERS = (
    (("--type", "butt"), 1), (("--store", "racks", "--type", "butt"), 0), (("--type", "barrel", "--type", "butt"), 2), (("--store", "racks"), 1),
    (("--spirit", "malt"), 2), (("--berth", "D"), 1), (("--parcel", "P-1"), 1), (("--supplier", "nobody"), 0),
)  # fmt: skip


@pytest.mark.thorough
@pytest.mark.parametrize("case", others_thorough(FILTERS, 2))
def test_filters_are_those_of_list(tmp_path: Path, case: tuple[tuple[str, ...], int]) -> None:
    words, casks = case
    root = book(tmp_path, THREE)
    listed = json.loads(caskbook("list", "--records", str(root), *DAY, "--format", "json", *words).stdout)
    assert data(root, *words)["listed"] == len(listed) == casks


def test_the_text_names_its_filter_and_the_list_that_has_the_same_casks(tmp_path: Path) -> None:
    text = told(book(tmp_path, THREE), "--store", "racks", "--by", "spirit")
    assert text.startswith(
        "stock on 2022-01-01, by spirit and fills since char · only store racks\n1 cask, as `caskbook list --store racks --as-of 2022-01-01` counts: 1 in stock"
    )


@pytest.mark.thorough
@pytest.mark.parametrize("words", others_thorough([("--store", "a rack"), (), ("--type", "butt", "--type", "barrel")], 1))
def test_the_list_that_is_named_has_as_many_casks(tmp_path: Path, words: tuple[str, ...]) -> None:
    root = book(tmp_path, TWO_GONE, HOUSE.replace("racks", "a rack"))
    found = caskbook("report", "stock", "--records", str(root), "--as-of", "2015-06-30", *words).stdout
    count, line = re.findall(r"^(\d+) casks?, as `caskbook (list.*?)` counts", " ".join(found.splitlines()[1:3]), re.M)[0]
    listed = json.loads(caskbook(*shlex.split(line), "--records", str(root), "--format", "json").stdout)
    assert int(count) == len(listed)
    assert {row["as_of"] for row in listed} == {"2015-06-30"}


def test_a_filter_that_nothing_passes_is_told_on_the_side(tmp_path: Path) -> None:
    found = caskbook("report", "stock", "--records", str(book(tmp_path, THREE)), *DAY, "--store", "rax")
    assert (found.returncode, found.stdout.splitlines()[1]) == (0, "no casks")
    assert "no cask here fits --store rax; capitals and small letters count" in found.stderr


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--type", "barell"), "--type: 'barell' is no cask type: did you mean barrel?"), (("--by", "stores"), "did you mean store?"),
        (("--format", "yaml"), "--format yaml: expected text, json, jsonl or csv"), (("--format", "csv", "--explain"), "--explain --format csv: expected text or json"),
    ],
)  # fmt: skip
def test_words_that_are_none_are_refused_with_the_nearest(tmp_path: Path, words: tuple[str, ...], says: str) -> None:
    found = caskbook("report", "stock", "--records", str(book(tmp_path, THREE)), *words)
    assert found.returncode == 2
    assert says in found.stderr


@pytest.mark.thorough
def test_json_and_csv_hold_what_the_text_shows(tmp_path: Path) -> None:
    root = book(tmp_path, TWO_GONE)
    text, read = told(root), data(root)
    table = read["tables"][0]
    for row in [*table["rows"], table["total"]]:
        shown = [*row["since_char"].values(), row["never_charred"], row["unknown"], row["casks"]]
        assert cells(text, row["name"])[: len(shown)] == list(map(str, shown))
        assert cells(text, row["name"])[-1] == str(row["at_limit"])
    for other in read["tables"][1:]:
        (line,) = (line for line in text.replace("\n  ", " · ").splitlines() if line.startswith({"class-fills": "fills of "}.get(other["by"], other["by"])))
        assert [part.rpartition(" ")[2] for part in line.partition(": ")[2].split(" · ")] == [str(row["casks"]) for row in other["rows"]]
    rows = list(csv.DictReader(io.StringIO(told(root, "--format", "csv"))))
    assert [(row["by"], row["name"], int(row["casks"])) for row in rows] == [(t["by"], row["name"], row["casks"]) for t in read["tables"] for row in t["rows"]]
    for row, kept in zip(rows, (row for t in read["tables"] for row in t["rows"]), strict=True):
        assert {name: int(row[name]) for name in kept["since_char"]} == kept["since_char"]
        assert (int(row["never_charred"]), int(row["unknown"]), int(row["at_limit"])) == (kept["never_charred"], kept["unknown"], kept["at_limit"])
    assert read["limits"] == {"barrel": {"due_at": 5, "after_rechar_due_at": 2}, "butt": None, "hogshead": {"due_at": 5, "after_rechar_due_at": 2}}


@pytest.mark.thorough
def test_the_limit_is_that_of_the_type_and_of_the_day(tmp_path: Path) -> None:
    own = "types: {hogshead: {due: {rechar: {due_at: 7}}}}\ndue: {rechar: {due_at: [{since: 2000-01-01, value: 4}, {since: 2022-06-01, value: 3}]}}\n"
    root = book(tmp_path, THREE, HOUSE + own)
    text = told(root)
    assert "type      0  1  2  3  4  5  6  7+  never  ?  total  limit  at limit" in text
    assert (cells(text, "barrel")[-2:], cells(text, "hogshead")[-2:]) == (["4", "0"], ["7", "0"])
    assert "due.rechar.due_at 4, 2 after a re-char (barrel); 7, 2 after a re-char (hogshead)" in " ".join(text.split())
    later = caskbook("report", "stock", "--records", str(root), "--as-of", "2022-06-01").stdout
    assert cells(later, "barrel")[-2:] == ["3", "1"]


def test_a_rule_that_is_off_has_no_limit(tmp_path: Path) -> None:
    text = told(book(tmp_path, THREE, HOUSE + "due: {rechar: {off: true}}\n"))
    assert cells(text, "barrel")[-2:] == ["none", "0"]
    assert "limit: due.rechar has none for these" in text
    assert "0  1  2  3+  never" in text


def test_the_explanation_tells_definition_denominator_filter_and_setting(tmp_path: Path) -> None:
    text = " ".join(told(book(tmp_path, THREE), "--explain", "--type", "barrel").split())
    for words in (
        "filter: only type barrel", "of 1 that `caskbook list` has", "count_prior true, short_fill_days 0", "0 of 1 that have a limit",
        "due.rechar.due_at, .after_rechar_due_at, .off_types and .off: 5, 2 after a re-char", "class_of_spirit whisky, malt, grain",
        "setting: stores",
    ):  # fmt: skip
        assert words in text, words
    figures = {one["figure"] for one in data(tmp_path, "--explain")["explain"]}
    assert figures == {"in stock", "0 … 5+", "never", "?", "at limit", "type", "state", "marks", "class-fills", "age", "store"}


@pytest.mark.thorough
def test_no_cask_and_one_cask_and_nothing_known(tmp_path: Path) -> None:
    empty = book(tmp_path / "empty", {})
    assert told(empty) == "stock on 2022-01-01, by type and fills since char\nno casks: none is in the book on that day\n"
    assert data(empty)["tables"][0]["total"]["casks"] == 0
    assert told(empty, "--format", "csv").splitlines()[0] == "by,name,0,1+,never_charred,unknown,casks,limit,at_limit"
    one = book(tmp_path / "one", {"TH-000001": THREE["TH-000001"]})
    assert "1 cask, as `caskbook list --as-of 2022-01-01` counts: 1 in stock + 0 gone" in told(one)
    assert "none is in the book on that day" in caskbook("report", "stock", "--records", str(one), "--as-of", "2014-01-01").stdout
    bare = {"prior": "absent", "charred": "absent"}
    nothing = book(tmp_path / "nothing", {f"TH-00000{n}": ([ev("2015-01-01", "receive", verdict="accept")], bare) for n in (1, 2)})
    text = told(nothing)
    assert cells(text, "all") == ["0", "0", "0", "0", "0", "0", "0", "2", "2", "0"]
    assert "fills of whisky/malt/grain, 0 of 2 known: ? 2" in text


def test_only_casks_that_were_never_charred(tmp_path: Path) -> None:
    text = told(book(tmp_path, {"TH-000002": THREE["TH-000002"]}))
    assert "type  0  1+  never  ?  total  limit  at limit" in text
    assert cells(text, "all") == ["0", "0", "1", "0", "1", "0"]


def test_all_gone_is_told_without_a_table(tmp_path: Path) -> None:
    text = told(book(tmp_path, {"TH-000004": TWO_GONE["TH-000004"]}))
    assert text.splitlines()[1:] == [
        "1 cask, as `caskbook list --as-of 2022-01-01` counts: 0 in stock + 1 gone",
        "in stock: 0 here, 0 away, 0 missing; gone: in no table; joined: counted once",
    ]


@pytest.mark.thorough
@pytest.mark.parametrize("casks", [1, 1234, 123_456])
@pytest.mark.parametrize("limit", [2, 5, 12, 40])
def test_a_screen_of_80_columns_takes_every_table(limit: int, casks: int) -> None:
    from datetime import date

    from caskbook.render.stock import stock_text
    from caskbook.stats.stock import BY, Group, Limit, stock_of
    from caskbook.stats.stock_report import StockReport, Terms

    facts = dict.fromkeys(
        ("type", "state", "marks", "rechar_count", "wine_held", "fills_of_class", "contents", "age_years", "store", "berthed", "spirit", "wood", "maker", "owner",
         "parcel", "supplier")
    )  # fmt: skip
    groups = [
        Group({**facts, "type": "madeira-drum", "store": "a store of a very long name " * 3, "fills_since_char": n, "never_charred": n == 0}, casks)
        for n in range(limit + 2)
    ]
    for by in BY:
        stock = stock_of(groups, (by, *(other for other in BY if other != by)), lambda _kind: Limit(limit, 2))
        text = stock_text(StockReport(date(2022, 1, 1), stock, {}, (), Terms(("malt",), True, 0), {}, explain=True), width=80)
        assert max(map(len, text.splitlines())) <= 80
        assert cells(text, "all")[-2] == str(casks * (limit + 2))


@pytest.mark.thorough
def test_on_a_narrow_screen_the_limits_go_and_no_figure_is_cut(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    monkeypatch.setenv("TERM", "dumb")
    text = caskbook("report", "stock", "--records", str(book(tmp_path, THREE)), *DAY, terminal=True).stdout
    assert max(map(len, text.splitlines())) <= 40
    assert cells(text, "all") == ["0", "1", "0", "1", "1", "3", "0"]
    assert cells(text, "butt") == ["0", "0", "0", "1", "0", "1", "0"]


@pytest.mark.thorough
def test_of_very_many_stores_the_largest_are_told_and_the_others_in_one_figure(tmp_path: Path) -> None:
    stores = [f"house-{chr(97 + n)}" for n in range(15)]
    casks = {f"TH-{n:06d}": ([RECEIVED, *filled(berth=f"{chr(65 + min(n, 14))}1")], {}) for n in range(20)}
    lines = told(book(tmp_path, casks, f"timezone: UTC\nstores: {{{', '.join(f'{name[-1].upper()}: {name}' for name in stores)}}}\ncrew: [{{initials: ab}}]\n"))
    line = lines.replace("\n  ", " · ").splitlines()[-1]
    assert line == "store: " + " · ".join([*(f"{name} 1" for name in stores[:11]), "house-o 6", "3 others 3 (--by store)"])
