"""`ready` as a lead asks it: how many there are, how far the others are, what makes up the short, and where they lie."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from casks import ev
from cli.test_plan import RECEIVED, empty, fill, made, repair
from commands import caskbook

HOUSE = """timezone: UTC
crew: [{initials: ab}]
stores: {W3: warehouse 3, W1: warehouse 1}
examine_valid_days: 60
due: {claim: {off: true}}
job_hours: {examine: 0.5, test: 1, stave: 2.5, shave: 0.5, char: 1, nose: 0.25}
types: {butt: {job_hours: {examine: 0.75}}}
"""
DAY = ("--as-of", "2026-11-29")
SOUND = ev("2026-11-20", "examine", verdict="sound")
EMPTIED = (fill("2018-01-10"), empty("2026-11-01"))
SPENT = [event for year in range(2017, 2022) for event in (fill(f"{year}-03-01"), empty(f"{year}-10-01"))]
Kinds = dict[str, tuple[dict[str, Any], list[dict[str, Any]]]]


def at(berth: str) -> dict[str, Any]:
    return ev("2026-11-02", "move", berth=berth)


KINDS: Kinds = {
    "TH-000001": ({}, [RECEIVED, *EMPTIED, at("W1/1/10"), SOUND]),
    # Emptied and not looked at: one job. A butt takes longer.
    "TH-000002": ({}, [RECEIVED, *EMPTIED, at("W1/1/9")]),
    "TH-000003": ({"type": "butt", "capacity_l": 500}, [RECEIVED, *EMPTIED, at("W3/1/1")]),
    # Held wine: nosed, then examined.
    "TH-000004": ({"prior": [{"contents": "oloroso", "fills": 1}]}, [RECEIVED, ev("2016-01-11", "nose", verdict="clean"), *EMPTIED, at("W1/1/8")]),
    # Fit but spent: shaved and charred, which unproves it, then tested.
    "TH-000005": ({}, [RECEIVED, *SPENT, at("W1/1/7"), SOUND]),
    # Driven, or a stave replaced, then tested; a head is out: closed, then tested.
    "TH-000006": ({}, [RECEIVED, *EMPTIED, at("W1/1/6"), repair("2026-11-20", "joint-9 joint-leak")]),
    "TH-000007": ({}, [RECEIVED, *EMPTIED, at("W1/1/5"), repair("2026-11-20", "stave-3 cracked")]),
    "TH-000008": ({}, [RECEIVED, *EMPTIED, at("W1/1/4"), SOUND, ev("2026-11-21", "open", heads=["A"])]),
    # Tested only: worked on after it was found sound.
    "TH-000009": ({}, [RECEIVED, *EMPTIED, at("W1/1/3"), SOUND, ev("2026-11-22", "hoop", hoops=["A-1"], from_="new")]),
    # At fault: treated, nosed, released, and then looked into.
    "TH-000010": ({}, [RECEIVED, *EMPTIED, at("W1/1/2"), ev("2026-11-22", "nose", verdict="fault", faults=["musty"])]),
    # Knocked down: raised, examined, tested.
    "TH-000011": ({}, [RECEIVED, *EMPTIED, ev("2026-11-05", "knock-down")]),
    # No way: rejected, under its floor, charred twice already.
    "TH-000012": ({}, [RECEIVED, *EMPTIED, ev("2026-11-20", "examine", verdict="reject", findings=[{"at": "stave-1", "defect": "cracked", "severity": 3}])]),
    "TH-000013": ({}, [RECEIVED, *EMPTIED, ev("2026-11-20", "examine", verdict="sound", stave_mm=15.0)]),
    # Nobody can tell whether it held wine before; of another, when it was charred.
    "TH-000014": ({"prior": "absent"}, [RECEIVED, *EMPTIED, SOUND]),
    # Full, away, gone: not counted.
    "TH-000015": ({}, [RECEIVED, fill("2018-01-10", berth="W1/2/1")]),
    "TH-000016": ({}, [RECEIVED, *EMPTIED, SOUND, ev("2026-11-21", "send", to="shop-x")]),
}  # fmt: skip
JOBS = {
    "TH-000001": [], "TH-000002": ["examine"], "TH-000003": ["examine"], "TH-000004": ["nose", "examine"], "TH-000005": ["shave+char", "close+test"],
    "TH-000006": ["drive", "test"], "TH-000007": ["stave", "close+test"], "TH-000008": ["close+test"], "TH-000009": ["test"],
    "TH-000010": ["treat", "nose", "release", "examine"], "TH-000011": ["raise", "examine", "test"],
}  # fmt: skip


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory.mktemp("ready") / "book", HOUSE, **KINDS)


def ready(book: Path, *words: str, code: int = 0) -> dict[str, Any]:
    done = caskbook("ready", *words, *DAY, "--format", "json", "--records", str(book))
    assert done.returncode == code, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def text(book: Path, *words: str, terminal: bool = False) -> str:
    done = caskbook("ready", *words, *DAY, "--records", str(book), terminal=terminal)
    assert done.returncode == 0, done.stderr
    assert max(map(len, done.stdout.splitlines())) <= 80
    return done.stdout


def said(book: Path, *words: str) -> str:
    return " ".join(text(book, *words).split())


def casks(found: dict[str, Any], group: str = "") -> dict[str, dict[str, Any]]:
    return {one["cask"]: {**one, "group": row["group"]} for row in found["groups"] for one in row["of"] if group in ("", row["group"])}


@pytest.mark.thorough
def test_each_cask_is_as_many_jobs_away_as_its_rules_and_its_fitness_say(book: Path) -> None:
    found = casks(ready(book))
    assert {cask: [job["job"] for job in one["jobs"]] for cask, one in found.items() if one["why"] is None} == JOBS
    groups = {0: "ready now", 1: "one job away", 2: "two jobs away", 3: "three or more", 4: "three or more"}
    assert all(found[cask]["group"] == groups[len(jobs)] for cask, jobs in JOBS.items())
    assert [(job["job"], job["rule"]) for job in found["TH-000005"]["jobs"]] == [("shave+char", "rechar"), ("close+test", "retest")]
    assert [(job["job"], job["rule"]) for job in found["TH-000011"]["jobs"]][0] == ("raise", "fitness")
    assert "6 fills since char" in found["TH-000005"]["jobs"][0]["reason"] and found["TH-000005"]["fit"]
    assert {cask: one["group"] for cask, one in found.items() if one["why"]} == {
        "TH-000012": "no way known", "TH-000013": "no way known", "TH-000014": "nobody can tell",
    }  # fmt: skip
    assert found["TH-000012"]["why"].startswith("rejected 2026-11-20") and "under the floor" in found["TH-000013"]["why"]
    assert found["TH-000014"]["why"].startswith("nose: what it held before us is not known")


@pytest.mark.thorough
def test_the_groups_part_the_empty_casks_here(book: Path) -> None:
    found = ready(book, "--want", "5")
    numbers = [one["cask"] for row in found["groups"] for one in row["of"]]
    assert len(numbers) == len(set(numbers)) == found["empty"] == sum(row["casks"] for row in found["groups"]) == 14
    assert found["filled"] == 1 and found["unclear"] == 0
    for row in found["groups"]:
        assert row["litres"] == sum(one["litres"] for one in row["of"])
        known = [job["hours"] for one in row["of"] for job in one["jobs"]]
        assert row["jobs"] == len(known) and (row["hours"] or 0) == sum(hours or 0 for hours in known) and row["without_hours"] == known.count(None)


@pytest.mark.thorough
def test_the_first_screen_says_what_is_short_and_what_makes_it_up(book: Path) -> None:
    for terminal in (False, True):
        lines = text(book, "--want", "6", "--for", "malt", terminal=terminal).splitlines()
        told = " ".join(" ".join(lines).split())
        assert len(lines) <= 44
        for one in (
            "ready on 2026-11-29 · 14 empty casks here", "want 6 for malt: have 1 ready, short 5", "take 4 with one job (examine 2, test 1, close+test 1: 3.25 h) and 1 with two (nose and examine 1: 0.75 h)",
            "if nothing is found", "1 is fit but due for a re-char, and so not ready now", "1 filled cask is not counted: caskbook plan CASK --tip DAY",
            "1 is held: the release is a decision", "no way known: rejected 1, retirement proposed 1 TH-000012 rejected 2026-11-20", "the casks to take, along the berths: 6, 1500 L",
        ):  # fmt: skip
            assert one in told, (one, told)
        way = [line.split()[:2] for line in lines if line.startswith("W")]
        assert way == [
            ["W3/1/1", "TH-000003"],
            ["W1/1/3", "TH-000009"],
            ["W1/1/4", "TH-000008"],
            ["W1/1/8", "TH-000004"],
            ["W1/1/9", "TH-000002"],
            ["W1/1/10", "TH-000001"],
        ]
        assert any(line.endswith("malt+other  ready") for line in lines) and any(line.endswith("malt+wine   nose, examine") for line in lines)


def test_the_shares_of_the_table_are_of_the_empty_casks(book: Path) -> None:
    rows = {
        line[:15].strip(): line[15:].split()
        for line in text(book).splitlines()
        if line[:15].strip() in {"ready now", "one job away", "two jobs away", "three or more"}
    }
    found = {row["group"]: row for row in ready(book)["groups"]}
    assert {group: [int(cells[0]), float(cells[2])] for group, cells in rows.items()} == {
        group: [found[group]["casks"], found[group]["litres"]] for group in rows
    }
    assert rows["two jobs away"][1] == "29%" and rows["one job away"][3:] == ["3.25", "h"]


@pytest.mark.thorough
def test_litres_are_reached_with_the_fewest_jobs(book: Path) -> None:
    """200 L are ready; the butt (500 L, one job) makes up 700 L, the barrels would take three."""
    found = ready(book, "--litres", "700")
    assert (found["have"], found["short"], found["to_take"]["jobs"]) == (200, 500, 1)
    assert [cask for cask, one in casks(found).items() if one["take"]] == ["TH-000001", "TH-000003"]
    told = said(book, "--litres", "700")
    assert "want 700 L: have 200 L, short 500 L" in told and "take 1 with one job (examine 1: 0.75 h; 500 L)" in told


@pytest.mark.thorough
def test_what_cannot_be_reached_says_how_many_at_most(book: Path) -> None:
    assert "want 40: have 1 ready, short 39" in said(book, "--want", "40") and "it cannot be reached: 11 at most" in said(book, "--want", "40")
    assert ready(book, "--want", "40")["most"] == 11 and ready(book, "--want", "40")["to_take"]["casks"] == 11
    assert "want 1: have 1 ready, enough" in said(book, "--want", "1")
    assert "it cannot be reached: 2500 L at most" in said(book, "--litres", "9000")


@pytest.mark.thorough
def test_hours_are_the_house_s_or_counted_as_lacking(book: Path) -> None:
    found = casks(ready(book))
    assert [job["hours"] for job in found["TH-000005"]["jobs"]] == [1.5, 1], "shave and char together"
    assert [job["hours"] for job in found["TH-000006"]["jobs"]] == [None, 1] and found["TH-000003"]["jobs"][0]["hours"] == 0.75
    assert "no hours for " in said(book) and "write job_hours: {" in said(book)


@pytest.mark.thorough
def test_filters_narrow_it(book: Path) -> None:
    assert set(casks(ready(book, "--type", "butt"))) == {"TH-000003"} == set(casks(ready(book, "--store", "warehouse 3")))
    assert set(casks(ready(book, "--berth", "W1/1/1"))) == {"TH-000001"}
    found = ready(book, "--where", "fills_since_char >= 5 -- spent")
    assert set(casks(found)) == {"TH-000005"} and found["only"] == ["only where fills_since_char >= 5 -- spent"]
    assert ready(book, "--parcel", "nowhere")["empty"] == 0
    done = caskbook("ready", "--store", "nowhere", *DAY, "--records", str(book))
    assert done.returncode == 0 and "no cask here fits --store nowhere" in done.stderr and "nothing stands empty here that fits" in done.stdout


@pytest.mark.thorough
def test_what_a_cask_held_is_what_the_book_knows(tmp_path: Path) -> None:
    past: dict[str, Any] = {
        "TH-000001": [], "TH-000002": [{"contents": "bourbon", "fills": 1}], "TH-000003": [{"contents": "oloroso", "fills": 1}, {"contents": "grain", "fills": 1}],
        "TH-000004": [{"contents": "unknown"}], "TH-000005": "absent", "TH-000006": [{"contents": "Single-Malt".casefold()}],
    }  # fmt: skip
    root = made(tmp_path / "book", HOUSE, **{cask: ({"prior": prior}, [ev("2026-11-20", "receive", verdict="accept")]) for cask, prior in past.items()})
    found = casks(ready(root, "--for", "malts"))
    assert {cask: one["held"] for cask, one in found.items()} == {
        "TH-000001": ["never"], "TH-000002": ["other"], "TH-000003": ["class", "wine"], "TH-000004": ["?"], "TH-000005": ["?"], "TH-000006": ["same"],
    }  # fmt: skip
    assert all(one["held"] is None for one in casks(ready(root)).values())
    assert "never held" in said(root, "--for", "malt") and "class+wine" in said(root, "--for", "malt", "--all")


def test_csv_has_a_row_for_each_cask(book: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(caskbook("ready", "--want", "5", *DAY, "--format", "csv", "--records", str(book)).stdout)))
    found = casks(ready(book, "--want", "5"))
    assert len(rows) == len(found) and [int(row["walk"]) for row in rows] == list(range(1, 15))
    assert {row["cask"]: (row["group"], row["take"] == "yes", row["why"] or None) for row in rows} == {
        cask: (one["group"], one["take"], one["why"]) for cask, one in found.items()
    }
    assert next(row["jobs"] for row in rows if row["cask"] == "TH-000005") == "shave+char (rechar), close+test (retest)"


def test_short_is_an_alarm_where_that_is_asked(book: Path) -> None:
    ready(book, "--want", "2", "--fail-if-short", code=1)
    ready(book, "--want", "1", "--fail-if-short")


@pytest.mark.thorough
def test_the_caution_is_of_the_casks_to_take(book: Path) -> None:
    done = caskbook("ready", "--want", "2", *DAY, "--records", str(book))
    assert done.stderr.count("Looking in:") == 1 and "Fire work" not in done.stderr and "Reminder only" in done.stderr
    assert "Fire work" in caskbook("ready", *DAY, "--records", str(book)).stderr
    assert caskbook("ready", "--want", "1", *DAY, "--records", str(book)).stderr == ""


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--want", "0"), "--want 0: expected 1 to 1000000"),
        (("--litres", "0"), "--litres 0: expected more than 0"),
        (("--litres", "nan"), "--litres nan: expected more than 0"),
        (("--want", "3", "--litres", "3"), "--want and --litres: expected one of them"),
        (("--for", "mlat"), "--for mlat: no spirit or wine that is known: did you mean malt?"),
        (("--for", "qqqq"), "--for qqqq: no spirit or wine that is known; class_of_spirit"),
        (("--fail-if-short",), "--fail-if-short: of how many?"),
        (("--where", "nosuch > 2"), "no such column: nosuch"),
        (("--where", "1) or (state='gone'"), "--where 1) or (state='gone': SQL: near \")\": syntax error"),
        (("--where", "fills >"), "SQL: incomplete input"),
        (("--where", "1; select 2"), "SQL: "),
        (("--where", "1 limit 1 --"), "syntax error"),
        (("--where", "'open"), "SQL: unrecognized token"),
        (("--explain", "--format", "csv"), "--explain --format csv: expected text"),
        (("--format", "xml"), "--format xml: expected text, json, jsonl or csv"),
        (("--type", "barel"), "--type: "),
    ],
)
def test_what_was_not_understood_is_one_line(book: Path, words: tuple[str, ...], told: str) -> None:
    done = caskbook("ready", *words, *DAY, "--records", str(book))
    assert done.returncode == 2 and done.stdout == "" and told in done.stderr and len(done.stderr.splitlines()) == 1, done.stderr


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("kinds", "told"),
    [
        ((), "nothing stands empty here"),
        (("TH-000015",), "nothing stands empty here 1 filled cask is not counted"),
        (("TH-000001",), "ready on 2026-11-29 · 1 empty cask here 1 ready, 200 L"),
        (("TH-000014",), "0 ready, 0 L"),
    ],
)
def test_a_book_with_little_in_it_has_sensible_words(tmp_path: Path, kinds: tuple[str, ...], told: str) -> None:
    root = made(tmp_path / "book", HOUSE, **{cask: KINDS[cask] for cask in kinds})
    assert told in said(root) and "nothing" in said(root, "--explain")
    assert "cannot be reached" in said(root, "--want", "3") or "TH-000015" in kinds or not kinds


def test_a_cask_told_in_part_is_never_called_ready(tmp_path: Path) -> None:
    root = made(tmp_path / "book", HOUSE, **{"TH-000001": KINDS["TH-000001"]})
    file = root / "casks" / "TH-000" / "TH-000001.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "- {id: e0000099, date: 2026-11-21, job: nose, verdict: fualt, by: ab}\n", encoding="utf-8")
    found = ready(root)
    assert [row["casks"] for row in found["groups"]] == [0, 0, 0, 0, 0, 1] and found["groups"][5]["of"][0]["why"].startswith("cannot be read: ")


ENTERED: dict[str, list[list[str]]] = {
    "TH-000002": [["examine", "--verdict", "sound"]],
    "TH-000004": [["nose", "clean"], ["examine", "--verdict", "sound"]],
    "TH-000005": [["shave+char", "--method", "flail", "--level", "3"], ["test", "pass", "--psi", "8"]],
    "TH-000006": [["drive", "--answers", "e0000005/joint-9"], ["test", "pass", "--psi", "8"]],
    "TH-000007": [["stave", "replace", "--staves", "3", "--from", "new"], ["test", "pass", "--psi", "8"]],
    "TH-000008": [["close+test", "--heads", "A", "pass", "--psi", "8"]],
    "TH-000009": [["test", "pass", "--psi", "8"]],
    "TH-000010": [["treat", "rinse", "--for", "taint"], ["nose", "clean"], ["release", "--why", "clean", "--approved-by", "ab"], ["examine", "sound"]],
    "TH-000011": [["raise"], ["examine", "sound"], ["test", "pass", "--psi", "8"]],
}


@pytest.mark.thorough
@pytest.mark.parametrize("cask", list(ENTERED))
def test_the_jobs_really_entered_make_it_ready_and_not_before_the_last(book: Path, tmp_path: Path, cask: str) -> None:
    """Each line is entered in a copy; before the last of them the cask is in no other group than one job away."""
    root = tmp_path / "copy"
    shutil.copytree(book, root)
    lines = ENTERED[cask]
    assert len(lines) == len(JOBS[cask])
    for n, (job, *words) in enumerate(lines):
        before = casks(ready(root))[cask]
        assert [one["job"] for one in before["jobs"]] == JOBS[cask][n:] and before["group"] != "ready now"
        done = caskbook("enter", job, cask, *words, "--by", "ab", "--date", DAY[1], "--yes", "--records", str(root))
        assert done.returncode == 0, done.stderr
    assert casks(ready(root))[cask]["group"] == "ready now"
    listed = json.loads(caskbook("list", "--state", "ready", "--format", "json", *DAY, "--records", str(root)).stdout)
    assert cask in {row["cask"] for row in listed}


def test_nothing_of_a_book_is_written(book: Path) -> None:
    files = {path: path.read_bytes() for path in sorted((book / "casks").rglob("*.yaml"))}
    ready(book, "--want", "9")
    assert {path: path.read_bytes() for path in sorted((book / "casks").rglob("*.yaml"))} == files


def test_what_is_known_to_be_wrong_is_found_again(tmp_path: Path) -> None:
    """A leak seen while it was full stands open on the empty cask: the examination finds it, it is driven and tested."""
    leaked = [RECEIVED, fill("2018-01-10"), ev("2026-10-01", "leak", at="joint-3", severity="drip"), empty("2026-11-01")]
    root = made(tmp_path / "book", HOUSE, **{"TH-000001": ({}, leaked)})
    assert [job["job"] for job in casks(ready(root))["TH-000001"]["jobs"]] == ["examine", "drive", "test"]


@pytest.mark.thorough
def test_more_than_four_jobs_are_no_way_that_is_known(tmp_path: Path) -> None:
    wine = [RECEIVED, ev("2016-01-11", "nose", verdict="clean"), *SPENT, ev("2026-11-05", "knock-down")]
    root = made(tmp_path / "book", HOUSE, **{"TH-000001": ({"prior": [{"contents": "oloroso", "fills": 1}]}, wine)})
    found = casks(ready(root))["TH-000001"]
    assert found["group"] == "no way known" and found["why"] == "more than 4 jobs: raise, nose, examine, toast, close+test"
    assert ready(root)["most"] == 0 and "no way known: more than 4 jobs 1" in said(root)


@pytest.mark.thorough
def test_casks_of_unknown_size_make_up_a_number_and_no_litres(tmp_path: Path) -> None:
    kinds = {"TH-000001": ({"capacity_l": "absent"}, KINDS["TH-000002"][1]), "TH-000002": KINDS["TH-000002"]}
    root = made(tmp_path / "book", HOUSE, **kinds)
    assert ready(root, "--want", "2")["to_take"] == {
        "casks": 2, "litres": 200, "litres_unknown": 1, "jobs": 2, "hours": 1, "without_hours": 0,
    }  # fmt: skip
    assert ready(root, "--litres", "300")["to_take"]["casks"] == 1
    told = said(root, "--litres", "300")
    assert "200 L at most" in told and "casks of unknown size are not counted in litres" in told and "one job away 2 100% 200 and 1 of unknown size" in told


def test_of_equal_ones_those_are_taken_that_the_due_list_has_first(tmp_path: Path) -> None:
    """Both are to be examined; the one that lies farther has waited since June."""
    kinds = {
        "TH-000001": ({}, [RECEIVED, fill("2018-01-10", berth="W1/1/1"), empty("2026-11-01")]),
        "TH-000002": ({}, [RECEIVED, fill("2018-01-10", berth="W1/1/2"), empty("2026-06-01")]),
    }
    root = made(tmp_path / "book", HOUSE, **kinds)
    assert [cask for cask, one in casks(ready(root, "--want", "1")).items() if one["take"]] == ["TH-000002"]


def test_a_job_without_hours_is_dearer_than_any_with(tmp_path: Path) -> None:
    """Six and seven are two jobs away each; nobody knows how long driving takes."""
    root = made(tmp_path / "book", HOUSE, **{cask: KINDS[cask] for cask in ("TH-000006", "TH-000007")})
    assert [cask for cask, one in casks(ready(root, "--want", "1")).items() if one["take"]] == ["TH-000007"]


@pytest.mark.thorough
@pytest.mark.parametrize("rule", ["examine", "retest", "nose", "hold"])
def test_a_rule_that_is_off_leaves_what_its_fitness_wants(tmp_path: Path, rule: str) -> None:
    """What is not fit is not ready, whatever the house wants to be told."""
    root = made(tmp_path / "book", HOUSE.replace("due: {", f"due: {{{rule}: {{off: true}}, "), **KINDS)
    found = casks(ready(root))
    for cask, jobs in JOBS.items():
        assert cask == "TH-000010" or sorted(job["job"] for job in found[cask]["jobs"]) == sorted(jobs), cask
        assert all(job["rule"] != rule for job in found[cask]["jobs"])
    assert {"nose", "release", "examine"} <= {job["job"] for job in found["TH-000010"]["jobs"]}


@pytest.mark.thorough
def test_a_ready_cask_that_is_due_again_soon_is_told_with_the_day(tmp_path: Path) -> None:
    """Examined on 2 October, good for 60 days: to 1 December; due again on the 2nd."""
    kinds = {
        "TH-000001": KINDS["TH-000001"],
        "TH-000002": ({}, [RECEIVED, fill("2018-01-10"), empty("2026-10-01"), ev("2026-10-02", "examine", verdict="sound")]),
    }
    root = made(tmp_path / "book", HOUSE, **kinds)
    assert {cask: one["until"] for cask, one in casks(ready(root), "ready now").items()} == {"TH-000001": None, "TH-000002": "2026-12-02"}
    assert "1 of the ready is due again on 2026-12-02" in said(root)
    assert "due again" not in said(root, "--berth", "W1")


def test_why_no_way_is_known_is_told_in_full_over_the_lines_it_takes(tmp_path: Path) -> None:
    why = "wanted by a customer for the garden, forty of them by May"
    root = made(
        tmp_path / "book",
        HOUSE,
        **{"TH-000001": ({}, [ev("2026-11-20", "receive", verdict="accept"), ev("2026-11-21", "retire", reasons=[why], approved_by="jc")])},
    )
    out = text(root, "--want", "1")
    assert why in " ".join(out.split()) and max(map(len, out.split("\n"))) <= 80 and "…" not in out
