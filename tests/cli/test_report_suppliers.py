"""`report suppliers` on small ledgers by hand: views and forms, filters, past days, books of which little is known."""

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

RECEIVED = ev("2026-06-01", "receive", verdict="accept")
FAIL = ev("2026-06-03", "test", psi=10, result="fail", leaks=[{"at": "joint-3"}])
PASS = ev("2026-06-03", "test", psi=10, result="pass")
NORTH, ASH = {"supplier": "northquay", "parcel": "P-1"}, {"supplier": "ashgarth", "parcel": "P-2"}
CASKS = {
    "TH-000001": ([RECEIVED, FAIL], NORTH),
    "TH-000002": ([RECEIVED, PASS], NORTH),
    "TH-000003": ([RECEIVED, ev("2026-06-02", "examine", verdict="sound"), PASS], ASH),
    "TH-000004": ([ev("2026-06-02", "raise", staves=31)], {}),
    "TH-000005": ([ev("2025-01-01", "receive", verdict="accept"), FAIL | {"date": "2025-01-05"}], ASH | {"type": "butt", "capacity_l": 500}),
}
DAY = ("--as-of", "2026-06-30")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The casks, none of which is altered."""
    return book(tmp_path_factory.mktemp("made"), CASKS)


def run(root: Path, *words: str, code: int = 0) -> str:
    found = caskbook("report", "suppliers", "--records", str(root), *words)
    assert found.returncode == code, found.stderr
    return found.stdout if code == 0 else found.stderr


def data(root: Path, *words: str, day: str = "2026-06-30") -> dict[str, Any]:
    read: dict[str, Any] = json.loads(run(root, *words, "--as-of", day, "--format", "json"))
    return read


def test_the_answer_stands_first_with_its_denominators(made: Path) -> None:
    text = run(made, *DAY)
    assert text.splitlines()[:3] == [
        "what suppliers sent, on 2026-06-30, by supplier",
        "5 casks, as `caskbook list --as-of 2026-06-30` counts: 4 received + 1 not",
        "received from anyone",
    ]
    assert "2 of 4 first tests failed: 50.0 % (95 % 15.0-85.0)" in text
    assert "the highest lower end of 95 % first" in text and "? last" not in text
    assert "few: fewer than 20 tested" in text and "claims calendar: 3 casks with claim days to come, 2 unexamined" in text
    assert "  to 2026-07-01  northquay P-1: 2 casks, 2 unexamined (TH-000001, TH-000002),\n  1 with something found, not decided (TH-000001)" in text
    assert max(map(len, text.splitlines())) <= 80


def test_a_supplier_nobody_named_stands_last_and_that_is_said(tmp_path: Path) -> None:
    unnamed = {f"TH-{n:06d}": ([RECEIVED, FAIL], {}) for n in range(10, 16)}
    text = run(book(tmp_path, CASKS | unnamed), *DAY)
    names = [line.split()[0] for line in text.splitlines() if line.startswith(("northquay ", "ashgarth ", "? "))]
    assert names == ["ashgarth", "northquay", "?"] * 2
    assert "the highest lower end of 95 % first, ? last" in text


def test_json_holds_each_figure_and_lines_and_csv_the_same_rows(made: Path) -> None:
    read = data(made, "--by", "parcel")
    assert (read["casks"], read["received"], read["not_received"], read["by"]) == (5, 4, 1, "parcel")
    assert {row["name"]: (row["tested"], row["failed"], row["running"], row["unexamined"], row["found"]) for row in read["groups"]} == {
        "P-1": (2, 1, 2, 2, 1), "P-2": (2, 1, 1, 0, 1),
    }  # fmt: skip
    assert [row["month"] for row in read["months"]] == [f"2025-{n:02d}" for n in range(1, 13)] + [f"2026-{n:02d}" for n in range(1, 7)]
    assert read["claims"][1] == {
        "to": "2026-07-01", "supplier": "northquay", "parcel": "P-1", "casks": 2, "unexamined": ["TH-000001", "TH-000002"], "found_not_decided": ["TH-000001"],
    }  # fmt: skip
    lines = [json.loads(line) for line in run(made, *DAY, "--by", "parcel", "--format", "jsonl").splitlines()]
    assert lines == [{"part": part, **row} for part in ("groups", "total", "months", "claims") for row in read[part]]
    rows = list(csv.DictReader(io.StringIO(run(made, *DAY, "--by", "parcel", "--format", "csv"))))
    assert [row["part"] for row in rows] == [line["part"] for line in lines]
    assert rows[-1]["unexamined"] == "TH-000001 TH-000002" and rows[0]["failed_share"] == "0.5"


def test_the_views_show_their_part_alone(made: Path) -> None:
    months = run(made, "--months", *DAY)
    assert ["2025-01", "1", "1", "100.0", "%", "0.0-100.0", ".", "few"] in [line.split() for line in months.splitlines()] and "calendar" not in months
    claims = run(made, "--claims", *DAY)
    assert "  unexamined 2: TH-000001, TH-000002" in claims and "  found, not decided 1: TH-000001" in claims
    assert set(data(made, "--claims")) & {"groups", "months", "claims"} == {"claims"}
    assert set(data(made, "--months")) & {"groups", "months", "claims"} == {"months"}


def test_the_day_and_the_filters_hold(made: Path) -> None:
    assert data(made, day="2025-06-30")["received"] == 1
    assert data(made, "--type", "butt")["casks"] == 1
    assert [row["name"] for row in data(made, "--supplier", "ashgarth")["groups"]] == ["ashgarth"]
    found = caskbook("report", "suppliers", "--records", str(made), "--supplier", "ashgrth")
    assert found.returncode == 0 and "did you mean ashgarth?" in found.stderr


def test_each_figure_is_explained(tmp_path: Path) -> None:
    text = run(book(tmp_path, CASKS), "--explain", *DAY)
    for figure in (
        "filter: ",
        "received: ",
        "tested, failed: ",
        "95 %: ",
        "few: ",
        "found: ",
        "decided: ",
        "running, unexamined: ",
        "more, times: ",
        "months: ",
    ):
        assert f"\n{figure}" in text
    assert [one["figure"] for one in data(book(tmp_path, CASKS), "--explain")["explain"]][0] == "filter"


CLASHES = (
    (("--by", "maker"), "--by maker: expected supplier or parcel"), (("--months", "--claims"), "--months and --claims: expected one of them"),
    (("--explain", "--format", "csv"), "--explain --format csv: expected text or json"), (("--format", "yaml"), "--format yaml: expected text, json, jsonl or csv"),
)  # fmt: skip


@pytest.mark.parametrize("case", others_thorough(CLASHES, 2))
def test_words_that_are_none_and_options_that_contradict_are_refused(made: Path, case: tuple[tuple[str, ...], str]) -> None:
    words, says = case
    assert says in run(made, *words, code=2)


def test_no_cask_one_cask_and_nothing_known(tmp_path: Path) -> None:
    empty = book(tmp_path / "empty", {})
    assert run(empty, *DAY).splitlines()[1] == "no casks: none is in the book on that day"
    assert data(empty)["groups"] == [] and run(empty, "--format", "csv", "--claims") == "part\r\n"
    one = book(tmp_path / "one", {"TH-000001": ([RECEIVED], {})})
    text = run(one, *DAY)
    assert "no first test before a filling: nothing to tell suppliers apart by" in text and "1 not yet tested" in text
    assert data(one)["groups"][0]["name"] == "?" and data(one)["months"] == []
    raised = book(tmp_path / "made", {"TH-000004": CASKS["TH-000004"]})
    assert "1 cask, as `caskbook list --as-of 2026-06-30` counts: 0 received" in run(raised, *DAY)


def test_a_cask_told_in_part_is_in_no_figure_and_counted(tmp_path: Path) -> None:
    root = book(tmp_path, CASKS)
    path = root / "casks" / "TH-000" / "TH-000001.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("job: test", "job: tset"), encoding="utf-8")
    read = data(root)
    assert (read["casks"], read["told_in_part"], read["received"], read["total"][0]["failed"]) == (5, 1, 3, 1)
    assert "1 not read whole, in no figure" in run(root, *DAY)


def test_what_was_voided_or_replaced_does_not_count(tmp_path: Path) -> None:
    void = ev("2026-06-04", "void", of="e0000002", why="another cask")
    again = ev("2026-06-03", "test", psi=10, result="pass", replaces="e0000002", why="misheard")
    for events in ([RECEIVED, FAIL, void], [RECEIVED, FAIL, again]):
        assert data(book(tmp_path / str(len(events[2])), {"TH-000001": (events, NORTH)}))["total"][0]["failed"] == 0


def test_a_period_is_that_of_the_receipt_and_all_that_followed_is_told(tmp_path: Path) -> None:
    root = book(tmp_path, CASKS)
    text = run(root, "--from", "2025-01", "--to", "2025-01-01", "--explain", *DAY)
    assert text.splitlines()[:4] == [
        "what suppliers sent, from 2025-01-01 to 2025-01-01, as the book has it on",
        "2026-06-30, by supplier",
        "5 casks, as `caskbook list --as-of 2026-06-30` counts: 1 received in that time +",
        "3 at other times + 1 not received from anyone",
    ]
    assert "1 of 1 first test failed" in text and "\nperiod: casks whose receipt lies in it" in text
    read = data(root, "--from", "2026")
    assert (read["from"], read["to"], read["received"], read["received_at_other_times"], read["not_received"]) == ("2026-01-01", None, 3, 1, 1)
    assert [row["month"] for row in read["months"]] == ["2026-06"] and sum(row["casks"] for row in read["claims"]) == 3
    assert data(root, "--to", "2024")["received"] == 0
