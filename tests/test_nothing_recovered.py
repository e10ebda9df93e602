"""What nobody wrote is shown nowhere: for every job and each of its fields missing or wrong, on every screen and in every answer."""

from __future__ import annotations

import itertools
import json
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import HOUSE, cask_data, ev
from commands import caskbook
from faulty_entries import AFTER, MISSING, USUAL_WRONG, WHOLE, WRONG, spoilt, whole_of
from reading_commands import Words, not_among, of_the_whole_book

import caskbook.model.recovery as mending
from caskbook.due import judge
from caskbook.index.event_rows import event_rows
from caskbook.life import live
from caskbook.life.facts import Facts, facts_of
from caskbook.loss.fill_summary import summary_of
from caskbook.loss.fills import fill_losses
from caskbook.model.cask import Cask, CaskHead, read_cask
from caskbook.model.cask_file import read_record
from caskbook.model.jobs import JOBS
from caskbook.render.card import card
from caskbook.render.cask_map import cask_map
from caskbook.render.facts_json import facts_json
from caskbook.render.time_line import long_line
from caskbook.review.phrases import phrase
from caskbook.yaml.write import flow_text

pytestmark = pytest.mark.thorough

DAY = date(2026, 1, 1)
# What the mildest reading is made to put in the place of what is wrong, each unmistakable where it is shown.
SENTINELS = (
    "77.1",
    "66.6",
    "123.1",
    "123.06",
    "155.5",
    "1001-01",
    "0001-01",
    "1900-01",
    "ZZ-7777",
    "stave 77",
    "stave-77",
    "hoop-A-9",
    "unseen",
    "custom",
    "NaN",
)


@pytest.fixture(autouse=True)
def _marked(monkeypatch: pytest.MonkeyPatch) -> None:
    for key, value in {
        "psi": 77.125,
        "abv": 66.625,
        "date": date(1001, 1, 1),
        "cask": "ZZ-7777",
        "children": ["ZZ-7777"],
        "staves": [77],
        "hoops": ["hoop-A-9"],
    }.items():
        monkeypatch.setitem(mending._MILD, key, value)
    for key, value in {"psi": 77.125, "abv": 66.625, "litres": 123.0625, "capacity_l": 155.5}.items():
        monkeypatch.setitem(mending._LENIENT, key, value)


def _shown(cask: Cask) -> str:
    """All that is told of a cask."""
    life = live(cask, HOUSE, DAY)
    facts = facts_of(life)
    verdicts = judge(life, facts)
    told = [json.dumps(facts_json(life, facts)), card(life, facts, verdicts, all_events=True, width=None), cask_map(life), long_line(life, 200)]
    told += [repr((one.reasons, str(one.since), one.decided)) for one in verdicts] + [repr(row) for row in event_rows(cask)]
    told += [phrase(event, cask, HOUSE) for event in cask.events] + [repr(summary_of(life, loss).as_row()) for loss in fill_losses(life)]
    return "\n".join(told)


def _facts(cask: Cask) -> Facts:
    return facts_of(live(cask, HOUSE, DAY))


def _told(job: str, wrongs: tuple[Any, ...]) -> None:
    for field, wrong, events in spoilt(job):
        if not any(wrong is one for one in wrongs):
            continue
        cask, faults = read_cask(cask_data(*events))
        assert cask is not None
        shown = _shown(cask)
        assert not [word for word in SENTINELS if word in shown], (job, field, wrong)
        life = live(cask, HOUSE, DAY)
        assert "None" not in "\n".join([card(life, facts_of(life), [], all_events=True, width=None), *(phrase(event, cask, HOUSE) for event in cask.events)]), (
            job,
            field,
            wrong,
        )
        for event in cask.events:
            assert all(not value for name, value in vars(event).items() if name in event.lost and name not in ("id", "date"))
            assert bool(event.codes) == bool(faults) or event.job != job or event.date != date(2023, 4, 5)


@pytest.mark.parametrize("job", ["sulphur", "flag", "test"])
def test_a_job_without_an_entry_of_its_own_is_spoilt_by_its_case(job: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(WHOLE, job)
    before, whole = whole_of(job)
    assert before and whole and [field for field, _, _ in spoilt(job)]


@pytest.mark.parametrize("job", JOBS)
def test_no_screen_shows_what_was_not_written(job: str) -> None:
    _told(job, USUAL_WRONG)


@pytest.mark.slow
@pytest.mark.parametrize("job", JOBS)
def test_no_screen_shows_what_was_not_written_however_wrong(job: str) -> None:
    _told(job, WRONG)


def test_nor_what_a_head_does_not_say() -> None:
    for key, wrong in itertools.product([field.alias or name for name, field in CaskHead.model_fields.items()], WRONG):
        if key != "cask":
            cask, _ = read_cask(cask_data(*WHOLE["regauge"][0], **{key: "absent" if wrong is MISSING else wrong}))
            assert cask is not None
            shown = _shown(cask)
            assert not [word for word in SENTINELS if word in shown], (key, wrong)


def _one(job: str, **fields: Any) -> Cask:
    """The usual life before the job, and the whole entry with these fields otherwise (`...`: taken out)."""
    before, whole = whole_of(job)
    entry = {**ev("2023-04-05", job), **whole, **fields}
    cask, faults = read_cask(cask_data(*before, {key: value for key, value in entry.items() if value is not ...}, *AFTER))
    assert cask is not None and faults
    return cask


def _card(cask: Cask) -> str:
    life = live(cask, HOUSE, DAY)
    return card(life, facts_of(life), [], all_events=True, width=None)


def test_the_text_as_written_and_the_finding_stand_on_the_card() -> None:
    text = _card(_one("fill", litres="1.9o", abv=60.3))
    assert "litres 1.9o" in text and "abv 60.3" in text and "[wrong-type]" in text and "1.0 L" not in text
    text = _card(_one("test", result="pass", psi=..., leaks=...))
    assert "psi ?" in text and "[missing-field]" in text


def test_json_says_null_and_names_the_finding() -> None:
    cask = _one("fill", litres="1.9o")
    life = live(cask, HOUSE, DAY)
    entry = facts_json(life, facts_of(life))["events"][3]
    assert entry["litres"] is None and entry["abv"] == 63.5 and entry["findings"] == ["wrong-type"]


@pytest.mark.parametrize("result", ["passt", ..., 3])
def test_a_test_of_unknown_result_neither_passes_nor_fails(result: Any) -> None:
    before, whole = WHOLE["test"]
    entry = {key: value for key, value in {**ev("2020-01-05", "test"), **whole, "result": result}.items() if value is not ... and key != "leaks"}
    cask, _ = read_cask(cask_data(*before, entry))
    assert cask is not None
    facts = facts_of(live(cask, HOUSE, date(2020, 1, 6)))
    assert facts.proved is False and facts.test_needed is True and facts.fitness == "untested"
    assert facts.last_test is not None and facts.last_test["result"] is None


def test_no_verdict_lets_a_cask_pass_that_nobody_can_read() -> None:
    for job in ("receive", "examine", "nose", "return"):
        facts = _facts(
            _one(job, verdict="gut", contents=..., spirit=..., litres=..., abv=..., temp_c=..., oak_since=...) if job == "receive" else _one(job, verdict="gut")
        )
        assert facts.examined is False and facts.fitness != "ready" and facts.marks is None, job


def test_a_day_that_nobody_can_read_counts_into_nothing() -> None:
    facts = _facts(_one("fill", date="2023-02-30", oak_since=...))
    assert (facts.years_in_wood, facts.in_this_cask_years, facts.age_years, facts.oak_since) == (None, None, None, None) and facts.fills == 1
    facts = _facts(_one("test", date="30.2."))
    assert facts.test_age_days is None and facts.last_test is not None and facts.last_test["date"] is None and facts.proved is False


def test_an_amount_that_nobody_can_read_makes_the_loss_unknown() -> None:
    for job, field in (("draw", "litres"), ("regauge", "abv"), ("empty", "litres"), ("top", "abv"), ("sample", "ml")):
        before, whole = whole_of(job)
        last = ev("2024-06-01", "regauge", litres=150, abv=58, temp_c=12, method="meter")
        cask, faults = read_cask(cask_data(*before, {**ev("2023-04-05", job), **whole, field: "viel"}, *([last] if job in ("draw", "top", "sample") else [])))
        assert cask is not None and faults
        life = live(cask, HOUSE, DAY)
        assert facts_json(life, facts_of(life))["loss"]["lpa"] is None if "lpa" in facts_json(life, facts_of(life))["loss"] else True
        assert all(loss.whole is None or loss.whole.lost is None for loss in fill_losses(life)), job


# Through the command line, with an index and without


def _book(folder: Path, every: int) -> Path:
    root = folder / "book"
    (root / "casks" / "TH-001").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n  - {initials: kd}\n")
    number = 0
    for job in JOBS:
        for field, wrong, events in spoilt(job):
            number += 1
            if number % every == 3 or (field == "date" and wrong is MISSING):
                _write(root / "casks" / "TH-001" / f"TH-00{number:04d}.yaml", f"TH-00{number:04d}", events)
    return root


def _write(path: Path, number: str, events: list[dict[str, Any]]) -> None:
    data = cask_data(*events) | {"cask": number}
    rows = [f"  - {flow_text(event)}" for event in data.pop("events")]
    path.write_text("\n".join([*(f"{key}: {flow_text(value)}" for key, value in data.items()), "events:", *rows]) + "\n")


_ASKED: tuple[Words, ...] = (
    ("due", "--all", "--format", "json"), ("list", "--format", "json"), ("report", "loss", "--format", "json"), ("report", "loss"),
    ("query", "SELECT * FROM event ORDER BY cask, job, data", "--format", "json"), ("query", "SELECT * FROM fill ORDER BY cask, n", "--format", "json"), ("check",),
)  # fmt: skip
_ASKED += not_among(_ASKED, of_the_whole_book())


def _answers(root: Path) -> Iterator[tuple[tuple[str, ...], str]]:
    for asked in _ASKED:
        done = caskbook(*asked, "--records", str(root), "--as-of", "2026-01-01") if asked[0] != "check" else caskbook(*asked, "--records", str(root))
        assert "Traceback" not in done.stderr and done.returncode in (0, 1), (asked, done.stderr[-2000:])
        yield asked, done.stdout


@pytest.mark.parametrize("every", [100, pytest.param(40, marks=pytest.mark.slow)])
def test_no_command_shows_it_with_an_index_or_without(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, every: int) -> None:
    root = _book(tmp_path, every)
    with_index = dict(_answers(root))
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    without = dict(_answers(root))
    for asked, text in with_index.items():
        assert text == without[asked], asked
        words = [word for word in SENTINELS if word in text and not (word == "unseen" and asked == ("check",))]
        assert not words, (asked, words)


def test_review_shows_it_as_written_in_every_form(tmp_path: Path) -> None:
    root = tmp_path / "book"
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n  - {initials: kd}\n")
    before, whole = WHOLE["fill"]
    _write(root / "casks" / "TH-004" / "TH-004217.yaml", "TH-004217", before)
    git = ["git", "-C", str(root), "-c", "user.name=a", "-c", "user.email=a@b.c"]
    subprocess.run([*git, "init", "-q"], check=True)
    subprocess.run([*git, "add", "."], check=True)
    subprocess.run([*git, "commit", "-qm", "Begin"], check=True)
    _write(root / "casks" / "TH-004" / "TH-004217.yaml", "TH-004217", [*before, {**ev("2023-04-05", "fill"), **whole, "litres": "1.9o"}])
    for form in ("text", "json", "markdown"):
        done = subprocess.run([sys.executable, "-m", "caskbook", "review", "--format", form], cwd=root, capture_output=True, text=True)
        assert "litres 1.9o" in done.stdout and "wrong-type" in done.stdout and "1.0 L" not in done.stdout, done.stdout + done.stderr


@pytest.mark.parametrize("text", ["007", "1.50", "+3", "0.10", "TRUE", "2020-01-02", "-0", "[010]"])
def test_a_wrong_value_is_shown_as_the_file_spells_it(text: str) -> None:
    """What a reader makes of it is nothing that anybody wrote: neither on the card nor in what the check tells."""
    head = "cask: TH-004217\nformat: 1\ntype: barrel\nevents:\n- {id: e0000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}\n"
    record = read_record("casks/TH-004/TH-004217.yaml", f"{head}- {{id: e0000002, date: 2020-01-02, job: note, by: ab, note: {text}, photo: [a]}}\n".encode())
    assert record.cask is not None and f"note {text.strip('[]')}" in _card(record.cask)
    errors = [one.message for one in record.findings if one.severity == "error"]
    assert errors == [f"`note` is {'a list' if text[0] == '[' else text}: expected text"]


def test_an_entry_of_no_known_job_is_shown_as_the_file_spells_it() -> None:
    head = "cask: TH-004217\nformat: 1\ntype: barrel\nevents:\n- {id: e0000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}\n"
    record = read_record("casks/TH-004/TH-004217.yaml", f"{head}- {{id: e0000002, date: 2020-01-02, job: fil, by: ab, vat: 007, litres: 198.40}}\n".encode())
    assert record.cask is not None and "vat 007, litres 198.40" in _card(record.cask)


def test_a_correction_that_names_nothing_lacks_no_field_of_a_name() -> None:
    cask, _ = read_cask(cask_data(ev("2020-01-01", "receive", verdict="accept"), ev("2023-04-05", "correct", why="misread")))
    assert cask is not None
    text = _card(cask)
    assert "why misread, ?  [missing-field]" in text and "capacity_l ?" not in text
