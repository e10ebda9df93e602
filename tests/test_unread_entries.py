"""An entry of no known job stands in the history as it is written, with its finding, and counts for nothing; and every error that the check finds is on the card."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import HOUSE, cask_data
from commands import caskbook
from faulty_entries import USUAL_WRONG, spoilt

from caskbook.index.event_rows import event_rows
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.cask import read_cask
from caskbook.model.jobs import JOBS
from caskbook.render.facts_json import facts_json

A, B = "TH-004217", "TH-004218"
RECEIVED = "{id: e1000000, date: 2020-01-01, job: receive, by: ab, verdict: accept}"


def book(folder: Path, *entries: str, **others: str) -> Path:
    root = folder / "book"
    (root / "casks" / "TH-004").mkdir(parents=True, exist_ok=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n", encoding="utf-8")
    for cask, rows in {A: entries, B: [others["b"]] if "b" in others else []}.items():
        text = "".join(f"  - {row}\n" for row in (RECEIVED, *rows))
        (root / "casks" / "TH-004" / f"{cask}.yaml").write_text(f"cask: {cask}\nformat: 1\ntype: barrel\nevents:\n{text}", encoding="utf-8")
    return root


def ask(root: Path, *words: str) -> Any:
    done = caskbook(*words, "--records", str(root))
    assert "Traceback" not in done.stderr and "fault of the program" not in done.stderr, done.stderr
    return done


UNREAD = [
    ("{id: e1000001, date: 2020-01-02, job: fil, by: ab, spirit: malt, litres: 195}", "fil ?", "unknown-job"),
    ("{id: e1000001, date: 2020-02-30, job: fil, by: [ab]}", "fil ?", "unknown-job"),
    ("{id: e1000001, date: 2020-01-02, by: ab, psi: 7}", "?", "missing-field"),
    ("{id: e1000001, job: 7}", "?", "unknown-job"),
    ('{id: 7, date: 2020-01-02, job: "a\\u202eb"}', "?", "unknown-job"),
    ("just text", "just text", "wrong-type"),
    ("[1, [2, .nan]]", "1; 2; ", "wrong-type"),
]


@pytest.mark.parametrize(("entry", "as_written", "code"), [*UNREAD[:2], *(pytest.param(*row, marks=pytest.mark.thorough) for row in UNREAD[2:])])
def test_it_stands_in_the_history_as_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, entry: str, as_written: str, code: str) -> None:
    root = book(tmp_path, entry)
    for words in (("show", A), ("show", A, "--all")):
        told = ask(root, *words)
        (row,) = [line for line in told.stdout.splitlines() if f"[{code}" in line]
        assert as_written in row and told.returncode == 1 and "\u202e" not in told.stdout
    data = json.loads(ask(root, "show", A, "--format", "json").stdout)
    assert len(data["events"]) == 2 and data["fills"] is None
    (one,) = [one for one in data["events"] if one["job"] is None]
    assert code in one["findings"] and one["stands"] is None and isinstance(one["written"], str)
    query = ("query", "SELECT id, date, job, stands, data FROM event ORDER BY job", "--format", "json")
    with_index = ask(root, *query).stdout
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    assert ask(root, *query).stdout == with_index
    assert json.loads(json.loads(with_index)[0]["data"])["job"] is None and json.loads(with_index)[0]["stands"] is None


WRONG = [*(entry for entry, _, _ in UNREAD), "{id: e1000001, date: 2030-01-02, job: note, by: ab, note: x}", "{id: e1000001, date: 2020-01-02, job: empty, litres: 0}",
         f"{{id: e1000001, date: 2020-01-02, job: same-as, of: {A}, why: x}}"]  # fmt: skip


@pytest.mark.parametrize("entry", WRONG)
def test_show_counts_the_errors_that_check_counts(tmp_path: Path, entry: str) -> None:
    root = book(tmp_path, entry)
    checked = json.loads(ask(root, "check", A, "--format", "json").stdout)["findings"]
    errors = [found for found in checked if found["severity"] == "error"]
    shown = ask(root, "show", A)
    assert errors and shown.returncode == 1
    assert int(re.search(r"(\d+) errors? in the file", shown.stdout)[1]) == len(errors) == int(re.match(r"(\d+) error", shown.stderr)[1])  # type: ignore[index]
    assert all(found["code"] in shown.stdout for found in errors)


def test_a_ring_is_on_the_card_of_each_of_its_casks(tmp_path: Path) -> None:
    entry = "{{id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: {}, why: x}}"
    root = book(tmp_path, entry.format(B), b=entry.format(A))
    for cask in (A, B):
        (row,) = [line for line in ask(root, "show", cask).stdout.splitlines() if " same-as " in line]
        assert "[joined-in-a-ring]" in row
        events = json.loads(ask(root, "show", cask, "--format", "json").stdout)["events"]
        assert events[-1]["findings"] == ["joined-in-a-ring"]


@pytest.mark.thorough
@pytest.mark.parametrize("every", [False, pytest.param(True, marks=pytest.mark.slow)])
@pytest.mark.parametrize("job", JOBS)
def test_query_and_show_tell_the_same_of_every_faulty_entry(job: str, every: bool) -> None:
    """Each field of each job missing or wrong in the usual ways, and with the slow tests in every way."""
    for field, wrong, events in spoilt(job):
        if not every and not any(wrong is one for one in USUAL_WRONG):
            continue
        cask, _ = read_cask(cask_data(*events))
        assert cask is not None
        life = live(cask, HOUSE, date(2026, 1, 1))
        shown = [{key: value for key, value in one.items() if key not in ("stands", "voided_by")} for one in facts_json(life, facts_of(life))["events"]]
        assert [json.loads(row[-1]) for row in event_rows(cask)] == shown, field


WORKED = ("job: open, heads: [A]", "job: close, heads: [A]", "job: examine, verdict: sound")
TESTS = {
    "psi: eleven, water_l: 2, result: pass": {"psi": None, "water_l": 2.0, "result": "pass"},
    "psi: eleven, water_l: 2, result: pass, leaks: [{at: joint-1}], cured_by: drive": {"psi": None, "result": "pass", "leaks": [{"at": "joint-1"}], "cured_by": "drive"},
    "psi: eleven, minutes: 9, result: fail, leaks: [{at: joint-1}]": {"psi": None, "minutes": 9.0, "result": "fail", "leaks": [{"at": "joint-1"}]},
    "psi: 11, water_l: two, minutes: 9, result: fail, leaks: [{at: joint-1}]": {"psi": 11.0, "water_l": None, "minutes": 9.0, "result": "fail"},
    "psi: 11, method: steam, result: pass": {"psi": 11.0, "method": None, "result": "pass"},
    "psi: 11, water_l: 2, result: perhaps": {"psi": 11.0, "water_l": 2.0, "result": None},
}  # fmt: skip


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
def test_one_bad_figure_of_a_test_leaves_the_others_and_proves_nothing(tmp_path: Path, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    before = [f"{{id: e100000{n}, date: 2020-01-02, by: ab, {job}}}" for n, job in enumerate(WORKED, 1)]
    for n, (says, kept) in enumerate(TESTS.items()):
        root = book(tmp_path / str(n), *before, f"{{id: e1000009, date: 2020-01-03, job: test, by: ab, {says}}}")
        shown = json.loads(ask(root, "show", A, "--as-of", "2020-01-05", "--format", "json").stdout)
        (entry,) = [one for one in shown["events"] if one["id"] == "e1000009"]
        assert {key: entry.get(key, "absent") for key in kept} == kept and entry["findings"], (says, entry)
        assert shown["proved"] is False and shown["fitness"] in ("untested", "failed"), (says, shown["fitness"])
        (row,) = json.loads(ask(root, "query", "select data from event where id = 'e1000009'", "--format", "json").stdout)
        assert {key: json.loads(row["data"]).get(key, "absent") for key in kept} == kept
        (row,) = json.loads(ask(root, "list", A, "--columns", "cask,fitness,proved", "--as-of", "2020-01-05", "--format", "json").stdout)
        assert row == {"cask": A, "fitness": shown["fitness"], "proved": False}
        assert "fail" not in says or shown["fails_this_visit"] == 1


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
def test_a_wrong_vat_leaves_the_figures_of_the_filling(tmp_path: Path, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    root = book(
        tmp_path,
        "{id: e1000001, date: 2020-01-02, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, temp_c: 14, berth: W1/1, vat: 12, vat_litres: 2000}",
    )
    shown = json.loads(ask(root, "show", A, "--format", "json").stdout)
    kept = {"spirit": "malt", "litres": 190.0, "abv": 63.5, "temp_c": 14.0, "berth": "W1/1", "vat_litres": 2000.0, "vat": None, "findings": ["wrong-type"]}
    assert kept.items() <= shown["events"][1].items()
    (row,) = json.loads(ask(root, "list", A, "--columns", "spirit,berth,vat", "--format", "json").stdout)
    assert row == {"spirit": "malt", "berth": "W1/1", "vat": None}


def test_what_was_moved_nobody_knows_where_to_is_brought_back_by_a_void(tmp_path: Path) -> None:
    root = book(
        tmp_path,
        "{id: e1000001, date: 2020-01-02, job: note, by: ab, note: x}",
        "{id: e1000002, date: 2020-01-03, job: moved, by: ab, of: e1000001, to: 12, why: x}",
    )
    assert "moved to ?: x" in ask(root, "show", A).stdout
    voided = ask(root, "void", A, "e1000002", "--why", "x", "--by", "ab", "--dry-run")
    assert voided.returncode == 0 and "stands again: 2020-01-02 note e1000001" in voided.stderr, voided.stderr


def test_what_an_examination_found_is_told_beside_what_the_check_found(tmp_path: Path) -> None:
    found = "{id: e1000001, date: 2020-01-02, job: examine, by: ab, verdict: sound, stave_mm: l7, findings: [{at: stave-4, defect: cracked}]}"
    entry = json.loads(ask(book(tmp_path, found), "show", A, "--format", "json").stdout)["events"][1]
    assert entry["findings"] == ["wrong-type"] and entry["defects"] == [{"at": "stave-4", "defect": "cracked"}] and entry["verdict"] == "sound"
