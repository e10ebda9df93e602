"""A cask of whose files something cannot be read is never let pass: not ready, not in order, no figure of a loss; and it is said why."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import HOUSE, cask_data, ev
from commands import caskbook
from entry.shop import CASK, Shop, days_ago
from entry.shop import HOUSE as HOUSE_TEXT
from faulty_entries import RECEIVED, USUAL_WRONG, spoilt
from history.ledgers import event, ledger
from laws import others_thorough

from caskbook.due import judge
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.loss.doubts import UNREAD, doubt_of
from caskbook.loss.fills import fill_losses
from caskbook.model.cask import read_cask
from caskbook.model.jobs import JOBS

DAY, EARLY = date(2023, 4, 10), date(2020, 1, 20)
SAYS_NOTHING = {"by", "sheet", "source", "why", "note", "photo", "work_minutes", "material", "was", "maker", "owner", "parcel", "wood"}
LET_PASS = ("ok", "soon", "at-emptying")


@pytest.mark.thorough
@pytest.mark.parametrize("job", others_thorough(list(JOBS), 6))
def test_no_job_of_which_a_field_cannot_be_read_lets_a_cask_pass(job: str) -> None:
    """Every field of every job, missing or wrong in the usual ways."""
    for field, wrong, events in spoilt(job):
        if not any(wrong is one for one in USUAL_WRONG):
            continue
        cask, faults = read_cask(cask_data(*events))
        assert cask is not None
        life = live(cask, HOUSE, DAY)
        if not any(fault.severity == "error" for fault in faults) or not any(one.codes for one in life.events) or field in SAYS_NOTHING:
            continue
        facts = facts_of(life)
        assert life.in_part and "ready" not in (facts.state, facts.fitness), field
        assert True not in (facts.proved, facts.examined, facts.test_valid) and facts.taint is not False, field
        verdicts = judge(life, facts)
        assert not [one for one in verdicts if one.verdict in LET_PASS and not one.decided], (field, wrong)
        assert all("cannot be read: " in one.reasons[-1] and "caskbook check" in one.reasons[-1] for one in verdicts if not one.decided), field
        for loss in fill_losses(life):
            assert loss.whole is None and doubt_of(loss)[0] == UNREAD, field  # type: ignore[index]


def test_what_says_nothing_of_the_cask_leaves_it_as_it_was() -> None:
    events = [RECEIVED, ev("2020-01-02", "examine", verdict="sound", note=7, photo=3, sheet=["x"])]
    cask, faults = read_cask(cask_data(*events))
    assert cask is not None and faults
    assert not live(cask, HOUSE, DAY).in_part


def test_a_word_that_is_no_key_may_have_said_anything() -> None:
    cask, faults = read_cask(cask_data(RECEIVED, ev("2020-01-02", "examine", verdict="sound", stave_m=15)))
    assert cask is not None and [fault.code for fault in faults] == ["unknown-key"]
    life = live(cask, HOUSE, EARLY)
    assert life.unread == ("examine of 2020-01-02",) and facts_of(life).fitness is None


def test_what_was_voided_hides_nothing_any_more() -> None:
    void = ev("2020-01-04", "void", of="e0000002", why="misread")
    cask, _ = read_cask(cask_data(RECEIVED, ev("2020-01-02", "nose", verdict="fualt"), ev("2020-01-03", "examine", verdict="sound"), void))
    assert cask is not None
    life = live(cask, HOUSE, EARLY)
    assert not life.in_part and facts_of(life).fitness == "ready"


def told(root: Path, *words: str) -> Any:
    return caskbook(*words, "--records", str(root))


NOSED = [
    "{id: e1000000, date: 2026-01-01, job: receive, by: ab, verdict: accept}",
    "{id: e1000001, date: 2026-01-02, job: nose, by: ab, verdict: fualt, faults: [musty]}",
    "{id: e1000002, date: 2026-01-03, job: examine, by: ab, verdict: sound}",
]


def put(root: Path, cask: str, *rows: str) -> None:
    path = root / "casks" / "TH-004" / f"{cask}.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"cask: {cask}\nformat: 1\ntype: barrel\nevents:\n" + "".join(f"  - {row}\n" for row in rows), encoding="utf-8")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    put(root, "TH-004001", *NOSED)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n", encoding="utf-8")
    return root


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
def test_every_screen_says_that_it_cannot_be_told(book: Path, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    day = ("--as-of", "2026-01-05")
    card = told(book, "show", "TH-004001", *day).stdout
    assert "STATE NOT KNOWN" in card and "READY" not in card
    assert card.count("? cannot be read: nose of 2026-01-02") == 2, "under open and under due"
    assert json.loads(told(book, "list", *day, "--format", "json", "--columns", "state,fitness,taint,examined").stdout) == [
        {"state": None, "fitness": None, "taint": None, "examined": None}
    ]
    assert json.loads(told(book, "list", "--state", "ready", *day, "--format", "json").stdout) == []
    due = json.loads(told(book, "due", "--all", *day, "--format", "json").stdout)
    assert {one["verdict"] for one in due} == {"unknown"} and "TH-004001 is told in part" in told(book, "due", *day).stderr


def test_a_number_that_goes_on_is_not_told_without_the_file_it_took_over(book: Path) -> None:
    put(book, "TH-004002", NOSED[0], NOSED[2], "{id: e1000003, date: 2026-01-03, job: same-as, by: ab, of: TH-004003, why: two numbers}")
    path = book / "casks" / "TH-004" / "TH-004003.yaml"
    path.write_text("cask: TH-004003\nformat: 1\ntype: [\n", encoding="utf-8")
    shown = told(book, "show", "TH-004002", "--as-of", "2026-01-05")
    assert "STATE NOT KNOWN" in shown.stdout and "cannot be read: head of TH-004003, entries of TH-004003" in " ".join(shown.stdout.split())
    facts = json.loads(told(book, "show", "TH-004002", "--as-of", "2026-01-05", "--format", "json").stdout)
    assert (facts["fills"], facts["fills_since_char"], facts["last_char"]) == (None, None, None)


def test_what_cannot_be_read_under_another_number_says_so(book: Path) -> None:
    """The file to mend is that one: the cask's own has no fault."""
    put(book, "TH-004002", NOSED[0], NOSED[2], "{id: e1000003, date: 2026-01-03, job: same-as, by: ab, of: TH-004001, why: two numbers}")
    shown = " ".join(told(book, "show", "TH-004002", "--as-of", "2026-01-05").stdout.split())
    assert shown.count("cannot be read: nose of 2026-01-02 under TH-004001") == 2


def test_such_a_cask_is_asked_about_before_it_is_filled(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    put(shop.root, "TH-004001", *(row.replace(f"2026-01-0{n}", str(days_ago(10 - n))) for n, row in enumerate(NOSED, 1)))
    words = f"enter fill TH-004001 --spirit malt --litres 190 --abv 63.5 --temp 15 --by ab --date {days_ago(1)}".split()
    ran = told(shop.root, *words)
    assert ran.returncode == 1 and "nothing written: if that is right, add --yes" in ran.stderr, ran.stderr
    assert f"TH-004001  nobody can tell whether it may be filled: cannot be read: nose of {days_ago(8)}; caskbook check TH-004001" in ran.stderr
    assert told(shop.root, *words, "--yes").returncode == 0


def test_an_unreadable_day_of_a_decision_quiets_nothing(book: Path) -> None:
    filled = "{id: e1000003, date: 2026-01-03, job: hold, by: ab, why: smell}"
    decide = "{{id: e1000004, date: 2026-01-04, job: decide, by: ab, rule: hold, outcome: defer, until: {}, why: x, approved_by: ab}}"
    for until, verdict in (("2026-02-01", "ok"), ("2026-13-01", "due")):
        put(book, "TH-004002", NOSED[0], NOSED[2], filled, decide.format(until))
        due = json.loads(told(book, "due", "hold", "TH-004002", "--all", "--as-of", "2026-01-20", "--format", "json").stdout)
        assert [one["verdict"] for one in due] == [verdict], until


def test_a_fill_that_ended_on_a_day_that_cannot_be_read_does_not_last(book: Path) -> None:
    fill = "{{id: e100000{}, date: {}, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, temp_c: 15, method: meter}}"
    put(book, "TH-004002", NOSED[0], NOSED[2], fill.format(4, "2026-01-04"), "{id: e1000005, date: 2026-01-32, job: empty, by: ab, litres: 180, abv: 63, temp_c: 15}",
        "{id: e1000006, date: 2026-02-06, job: examine, by: ab, verdict: sound}", fill.format(7, "2026-02-07"))  # fmt: skip
    sql = "SELECT n, start, end, days FROM fill WHERE cask = 'TH-004002' ORDER BY n"
    rows = json.loads(told(book, "query", sql, "--format", "json", "--as-of", "2026-03-01").stdout)
    assert [(row["n"], row["end"], row["days"]) for row in rows] == [(1, None, None), (2, None, 22)]


def test_no_default_stands_for_a_day_that_cannot_be_read(book: Path) -> None:
    put(book, "TH-004002", NOSED[0].replace("accept", "accept, claim_by: 2026-02-31, findings: [{at: stave-4, defect: cracked, severity: 2}]"), NOSED[2])
    put(book, "TH-004003", NOSED[0], NOSED[2], "{id: e1000004, date: 2026-01-04, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, temp_c: 15, method: meter}",
        "{id: e1000005, date: 2026-01-06, job: leak, by: ab, at: joint-3, severity: weep, look_again: soon}")  # fmt: skip
    due = json.loads(told(book, "due", "claim", "look", "TH-004002", "TH-004003", "--as-of", "2026-01-07", "--format", "json").stdout)
    reasons = {(one["cask"], one["rule"]): " ".join(one["reasons"]) for one in due}
    assert "the last day for a claim cannot be read" in reasons["TH-004002", "claim"] and "2026-01-31" not in reasons["TH-004002", "claim"]
    assert "the day to look again cannot be read" in reasons["TH-004003", "look"] and "14 days" not in reasons["TH-004003", "look"]


@pytest.mark.thorough
def test_review_tells_an_entry_of_no_known_job_that_came_in(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    path = repo.path()
    path.write_text(path.read_text(encoding="utf-8") + event("zzzzzzz9", "2015-03-21", "Hold", "why: smell"), encoding="utf-8")
    repo.commit("day")
    text = " ".join(caskbook("review", "HEAD~1..HEAD", cwd=repo.top).stdout.split())
    assert "unread TH-004217 an entry that cannot be read, and counts for nothing: job Hold, why smell [unknown-job]; caskbook check" in text
    data = json.loads(caskbook("review", "HEAD~1..HEAD", "--format", "json", cwd=repo.top).stdout)
    assert data["unread_entries"] == [{"cask": "TH-004217", "text": "job Hold, why smell  [unknown-job]", "code": "unknown-job"}]


def test_nothing_is_inherited_of_a_cask_that_cannot_be_read_whole(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    put(shop.root, "TH-004001", *(row.replace(f"2026-01-0{n}", str(days_ago(10 - n))) for n, row in enumerate(NOSED, 1)))
    ran = told(shop.root, *f"enter convert TH-004001 --into 1 hogshead --as TH-009001 --by ab --date {days_ago(1)}".split())
    assert ran.returncode == 2 and f"TH-004001 cannot be read whole (nose of {days_ago(8)}), so what is inherited of it is not known" in ran.stderr, ran.stderr
    assert not (shop.root / "casks" / "TH-009").exists()


def test_nothing_is_inherited_of_a_cask_that_two_files_tell_otherwise(tmp_path: Path) -> None:
    """Half a move, and a number that two files claim: what they hold of its nose nobody can tell."""
    shop = Shop(tmp_path)
    came, fault = (
        f"{{id: e1000000, date: {days_ago(20)}, job: receive, by: ab, verdict: accept}}",
        f"date: {days_ago(19)}, job: nose, by: ab, verdict: fault, faults: [musty]}}",
    )
    put(
        shop.root,
        "TH-004001",
        came,
        "{id: e1000001, " + fault,
        f"{{id: e1000002, date: {days_ago(18)}, job: moved, by: ab, of: e1000001, to: TH-004002, why: misread}}",
    )
    put(shop.root, "TH-004002", came)
    for cask in ("TH-004003", "TH-004004"):
        put(shop.root, cask, came, f"{{id: e1000003, date: {days_ago(18)}, job: same-as, by: ab, of: TH-004005, why: two numbers}}")
    put(shop.root, "TH-004005", came, "{id: e1000001, " + fault)
    for cask in ("TH-004001", "TH-004002", "TH-004003"):
        ran = told(shop.root, *f"enter convert {cask} --into 1 hogshead --as TH-009001 --by ab --date {days_ago(1)} --yes".split())
        assert ran.returncode == 2 and f"{cask} cannot be read whole (" in ran.stderr and "so what is inherited of it is not known" in ran.stderr, ran.stderr
    assert not (shop.root / "casks" / "TH-009").exists()


def test_what_is_racked_out_of_a_cask_that_two_files_tell_otherwise_is_of_unknown_age(tmp_path: Path) -> None:
    """A top of young spirit that was moved in one of two files alone."""
    shop = Shop(tmp_path)
    came = f"{{id: e1000000, date: {days_ago(20)}, job: receive, by: ab, verdict: accept"
    old = "spirit: malt, litres: 150, abv: 60, at_20: true, oak_since: 2010-01-01}"
    topped = f"{{id: e1000001, date: {days_ago(19)}, job: top, by: ab, litres: 9, abv: 60, spirit: malt, at_20: true, oak_since: 2024-01-01}}"
    gone = f"{{id: e1000002, date: {days_ago(18)}, job: moved, by: ab, of: e1000001, to: TH-004003, why: misread}}"
    put(shop.root, "TH-004001", f"{came}, contents: spirit, {old}", topped, gone)
    put(shop.root, "TH-004003", f"{came}, contents: spirit, {old}")
    sound = ({"date": days_ago(9), "job": "receive", "verdict": "accept"}, {"date": days_ago(8), "job": "examine", "verdict": "sound"})
    for cask in (CASK, "TH-004002"):
        shop.put(*sound, cask=cask)
    words = f"--litres 100 --abv 60 --temp 20 --left 50 --why leak --by ab --date {days_ago(1)} --yes".split()
    ran = told(shop.root, "enter", "rack", "TH-004001", "--to", CASK, *words)
    assert ran.returncode == 0 and shop.last()["oak_since"] == "unknown", ran.stderr
    assert json.loads(told(shop.root, "show", CASK, "--format", "json").stdout)["age_years"] is None
    assert "rack-age-differs" not in told(shop.root, "check").stdout
    put(shop.root, "TH-004001", f"{came}, contents: spirit, {old}")
    shop.put(*sound, cask=CASK)  # Both sides of that racking are gone.
    assert told(shop.root, "enter", "rack", "TH-004001", "--to", "TH-004002", *words).returncode == 0
    assert json.loads(told(shop.root, "show", "TH-004002", "--format", "json").stdout)["oak_since"] == "2010-01-01"


@pytest.mark.parametrize("nosed", ["verdict: fualt, faults: [musty]", "verdict: fault, faults: [musty]"])
def test_a_stave_of_a_donor_whose_nose_nobody_can_tell_wants_a_nose(tmp_path: Path, nosed: str) -> None:
    shop = Shop(tmp_path)
    rows = [
        f"{{id: e1000000, date: {days_ago(20)}, job: receive, by: ab, verdict: accept}}",
        f"{{id: e1000001, date: {days_ago(19)}, job: nose, by: ab, {nosed}}}",
    ]
    if "fault," in nosed:
        rows.append(f"{{id: e1000002, date: {days_ago(18)}, job: moved, by: ab, of: e1000001, to: TH-004002, why: misread}}")
    down = (
        f"{{id: e1000003, date: {days_ago(17)}, job: retire, by: ab, reasons: [old], approved_by: kd}}",
        f"{{id: e1000004, date: {days_ago(16)}, job: break-up, by: ab, staves_saved: 20}}",
    )
    put(shop.root, "TH-004001", *rows, *down)
    shop.put({"date": days_ago(9), "job": "receive", "verdict": "accept"}, {"date": days_ago(8), "job": "open", "heads": ["A"]})
    ran = told(shop.root, *f"enter stave {CASK} --staves 4 --action replace --from TH-004001 --by ab --date {days_ago(1)} --yes".split())
    assert ran.returncode == 0 and shop.last()["from_tainted"].startswith("nobody can tell, for of it cannot be read: "), ran.stderr
    assert "nose before it is filled" in told(shop.root, "due", "nose", CASK).stdout


@pytest.mark.parametrize("days", [("2026-11-29", "2020-06-01", "2026-11-29")])
def test_an_answer_of_another_day_leaves_no_stale_verdict(book: Path, days: tuple[str, ...]) -> None:
    put(book, "TH-004002", *(row.replace("2026", "2015") for row in NOSED[::2]),
        "{id: e1000004, date: 2015-02-30, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, temp_c: 15, method: meter}")  # fmt: skip
    asked = [told(book, "due", "--all", "--as-of", day, "--format", "json").stdout for day in days]
    assert asked[0] == asked[-1]


def test_what_cannot_be_undone_waits_and_what_is_there_twice_is_not_counted_twice(book: Path) -> None:
    put(book, "TH-004002", NOSED[0].replace("2026", "2020"), "{id: e1000002, date: 2020-01-03, job: examine, by: ab, verdict: sound}",
        "{id: e1000003, date: 2020-01-04, job: measure, by: ab, stave_mm: l7}")  # fmt: skip
    path = book / "casks" / "TH-004" / "TH-004002.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("type: barrel", "type: barrel\nprior: [{contents: bourbon, fills: 6}]\ncharred: 2011"), encoding="utf-8"
    )
    due = json.loads(told(book, "due", "rechar", "retire", "TH-004002", "--all", "--as-of", "2020-01-05", "--format", "json").stdout)
    assert {one["rule"]: one["verdict"] for one in due} == {"rechar": "blocked", "retire": "unknown"}
    fill = "{id: e1000004, date: 2026-01-04, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, temp_c: 15, method: meter}"
    put(book, "TH-004003", NOSED[0], NOSED[2], fill, fill)
    facts = json.loads(told(book, "show", "TH-004003", "--as-of", "2026-01-05", "--format", "json").stdout)
    assert (facts["fills"], facts["fills_since_char"]) == (None, None)


def test_an_emptying_on_a_day_that_cannot_be_read_is_on_no_day(book: Path) -> None:
    put(book, "TH-004002", NOSED[0], NOSED[2], "{id: e1000004, date: 2026-01-04, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, temp_c: 15, method: meter}",
        "{id: e1000005, date: 2026-11-2, job: empty, by: ab, litres: 180, abv: 63, temp_c: 15, method: meter}")  # fmt: skip
    (row,) = json.loads(told(book, "list", "TH-004002", "--as-of", "2026-02-05", "--format", "json", "--columns", "state,contents,spirit").stdout)
    assert row == {"state": None, "contents": None, "spirit": None}


def test_an_entry_of_no_known_job_may_have_filled_it(book: Path) -> None:
    put(
        book,
        "TH-004002",
        NOSED[0],
        NOSED[2],
        "{id: e1000004, date: 2026-01-04, jobb: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, temp_c: 15, method: meter}",
    )
    (row,) = json.loads(told(book, "list", "TH-004002", "--as-of", "2026-02-05", "--format", "json", "--columns", "state,contents,spirit,fills,berth").stdout)
    assert row == {"state": None, "contents": None, "spirit": None, "fills": None, "berth": None}


def test_a_setting_that_cannot_be_read_is_asked_about_before_a_cask_is_filled(tmp_path: Path) -> None:
    """What makes a cask ready may be just what that setting says."""
    shop = Shop(tmp_path)
    rows = [row.replace("fualt, faults: [musty]", "clean") for row in NOSED]
    put(shop.root, "TH-004001", *(row.replace(f"2026-01-0{n}", str(days_ago(10 - n))) for n, row in enumerate(rows, 1)))
    house = shop.root / "house.yaml"
    words = f"enter fill TH-004001 --spirit malt --litres 190 --abv 63.5 --temp 15 --by ab --date {days_ago(1)} --dry-run".split()
    assert told(shop.root, *words).returncode == 0 and "nobody can tell" not in told(shop.root, *words).stderr
    house.write_text(house.read_text(encoding="utf-8") + "fill_needs: tset\n", encoding="utf-8")
    ran = told(shop.root, *(word for word in words if word != "--dry-run"))
    assert ran.returncode == 1 and "nobody can tell whether it may be filled: cannot be read: settings of house.yaml; caskbook check\n" in ran.stderr, (
        ran.stderr
    )


def test_entries_behind_a_second_document_may_have_filled_it(book: Path) -> None:
    put(book, "TH-004002", NOSED[0], NOSED[2])
    path = book / "casks" / "TH-004" / "TH-004002.yaml"
    path.write_text(
        path.read_text(encoding="utf-8") + "---\nevents:\n  - {id: e1000004, date: 2026-01-04, job: fill, by: ab, spirit: malt, litres: 190}\n",
        encoding="utf-8",
    )
    (row,) = json.loads(told(book, "list", "TH-004002", "--as-of", "2026-02-05", "--format", "json", "--columns", "state,contents,fills").stdout)
    assert row == {"state": None, "contents": None, "fills": None}


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
@pytest.mark.parametrize("wrong", ["", "due: {rechar: {due_at: five}}\n", "timezone: [\n"])
def test_data_tell_that_settings_of_the_house_cannot_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, index: str, wrong: str) -> None:
    """What is due and ready rests on defaults then: a program reads no other stream. Of CSV the last column."""
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    shop = Shop(tmp_path, wrong if wrong.startswith("timezone") else HOUSE_TEXT + wrong)
    shop.put({"date": days_ago(3), "job": "receive", "verdict": "accept"})
    told: dict[str, Any] = {}
    for words in (["due", "--all"], ["due", "--by-cask"], ["plan", "--coopers", "1", "--hours-a-week", "8"], ["ready"], ["show", CASK]):
        done = caskbook(*words, "--format", "json", cwd=shop.root)
        found = json.loads(done.stdout)
        told |= {" ".join(words): one.get("verdicts", [one])[0]["settings_unread"] for one in (found if isinstance(found, list) else [found])}
    assert len(told) == 5 and set(told.values()) == {bool(wrong)}
    for words in (["due", "--all"], ["due", "--by-cask"]):
        rows = caskbook(*words, "--format", "csv", cwd=shop.root).stdout.splitlines()
        assert rows[0].endswith(",settings_unread") and {row.rpartition(",")[2] for row in rows[1:]} == {"yes" if wrong else "no"}


FAILED_SOMEWHERE = [
    NOSED[0],
    "{id: e1000001, date: 2026-01-02, job: test, by: ab, psi: 10, water_l: 2, result: fail}",
    "{id: e1000002, date: 2026-01-03, job: test, by: ab, psi: 10, water_l: 2, result: pass}",
]


def test_a_test_that_failed_nobody_says_where_is_on_the_card_of_the_pass_after_it(book: Path) -> None:
    put(book, "TH-004002", *FAILED_SOMEWHERE)
    ran = told(book, "show", "TH-004002", "--as-of", "2026-01-05")
    assert ran.returncode == 1 and "failed first at ?" in ran.stdout, ran.stderr
    filled = "{id: e1000003, date: 2026-01-03, job: fill, by: ab, spirit: malt, litres: 190, abv: 60, at_20: true}"
    emptied = "{id: e1000004, date: 2026-01-04, job: empty, by: ab, litres: 0}"
    again = FAILED_SOMEWHERE[2].replace("e1000002", "e1000005").replace("01-03", "01-05")
    put(book, "TH-004002", *FAILED_SOMEWHERE[:2], filled, emptied, again)
    ran = told(book, "show", "TH-004002", "--as-of", "2026-01-05")
    assert ran.returncode == 1 and "last fail 2026-01-02 at ?" in ran.stdout, ran.stderr
