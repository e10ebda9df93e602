"""More parts of a donor than were saved of it: refused before it is written, whatever way it comes in, and told by the check of one cask."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import Shop, days_ago, shop_with_index
from index.book import commit_all

DONOR, FIRST, SECOND = "TH-004217", "TH-004218", "TH-004219"
TOO_MANY = "6 staves taken of it in all, but 5 saved"


@pytest.fixture(params=["on", "off"])
def shop(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A donor of five staves and two open casks, of which the first has three of them; with an index, and without."""
    shop = shop_with_index(request.param, tmp_path, monkeypatch)
    shop.put(
        {"date": days_ago(90), "job": "receive", "verdict": "reject"},
        {"date": days_ago(60), "job": "break-up", "staves_saved": 5, "heads_saved": 1, "hoops_saved": 2},
        cask=DONOR,
    )
    for cask, came in ((FIRST, 90), (SECOND, 91)):
        shop.put({"date": days_ago(came), "job": "receive", "verdict": "accept"}, {"date": days_ago(50), "job": "open", "heads": ["A", "B"]}, cask=cask)
    enter("stave", FIRST, "replace", "--staves", "1,2,3", "--from", DONOR)
    if request.param == "on":
        caskbook("list")
        assert (shop.root / ".caskbook").is_dir()
    return shop


def tried(*words: str) -> subprocess.CompletedProcess[str]:
    return caskbook("enter", *words, *(() if "sheet" in words or "--date" in words else ("--date", str(days_ago(40)))), "--by", "ab", "--yes")


def enter(*words: str) -> None:
    done = tried(*words)
    assert done.returncode == 0, done.stdout + done.stderr


def codes(*casks: str) -> list[str]:
    return [found["code"] for found in json.loads(caskbook("check", *casks, "--format", "json").stdout)["findings"] if found["severity"] == "error"]


@pytest.mark.thorough
@pytest.mark.parametrize(("words", "line"), [
    (("stave", SECOND, "replace", "--staves", "4,5,6", "--from", DONOR), TOO_MANY),
    (("stave", f"{FIRST},{SECOND}", "replace", "--staves", "8,9", "--from", DONOR), "7 staves taken of it in all, but 5 saved"),
    (("head", f"{FIRST},{SECOND}", "--head", "B", "replace", "--from", DONOR), "2 heads taken of it in all, but 1 saved"),
    (("hoop", SECOND, "--hoops", "A-1,A-2,B-1", "--from", DONOR), "3 hoops taken of it in all, but 2 saved"),
])  # fmt: skip
def test_taking_more_than_was_saved_is_refused(shop: Shop, words: tuple[str, ...], line: str) -> None:
    done = tried(*words)
    assert done.returncode == 1 and line in done.stderr and "nothing written" in done.stderr, done.stdout + done.stderr
    anyway = tried(*words, "--anyway", "--why", "they were there")
    assert anyway.returncode == 1 and line in anyway.stderr and codes() == []


def test_the_row_of_a_sheet_with_which_it_is_too_many_is_told(shop: Shop) -> None:
    Path("day.csv").write_text(
        "job,cask,date,staves,action,from\n" + "".join(f"stave,{SECOND},{days_ago(40)},{n},replace,{DONOR}\n" for n in (4, 5, 6)), encoding="utf-8"
    )
    done = tried("sheet", "day.csv")
    assert done.returncode == 1 and "day.csv row 4:" in done.stderr and TOO_MANY in done.stderr, done.stdout + done.stderr
    assert "day.csv row 3:" not in done.stderr and codes() == []


def test_the_bench_refuses_it_too(shop: Shop, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    lines = tmp_path / "lines.txt"
    lines.write_text(f"stave {SECOND} replace --staves 4,5,6 --from {DONOR} --date {days_ago(40)} --by ab\nend\n", encoding="utf-8")
    with lines.open() as given:
        monkeypatch.setattr("sys.stdin", given)
        done = caskbook("bench")
    assert TOO_MANY in done.stdout + done.stderr and codes() == [], done.stdout + done.stderr


@pytest.mark.thorough
def test_what_puts_a_taking_in_the_place_of_another_counts_once(shop: Shop) -> None:
    took = json.loads(caskbook("show", FIRST, "--format", "json").stdout)["events"][-1]["id"]
    enter("stave", FIRST, "replace", "--staves", "1,2,3,4,5", "--from", DONOR, "--replaces", took, "--why", "miscounted")
    assert codes() == []
    done = tried("stave", SECOND, "replace", "--staves", "4", "--from", DONOR)
    assert TOO_MANY in done.stderr


def test_a_donor_counted_anew_tells_who_took_too_much(shop: Shop) -> None:
    broken = json.loads(caskbook("show", DONOR, "--format", "json").stdout)["events"][-1]["id"]
    done = tried("break-up", DONOR, "--staves-saved", "2", "--replaces", broken, "--why", "miscounted", "--date", str(days_ago(60)), "--anyway")
    assert done.returncode == 0 and f"{FIRST}  a later entry no longer fits: `from` is {DONOR}: 3 staves taken of it in all, but 2 saved" in done.stderr
    assert codes() == ["donor-out-of-staves"]


@pytest.mark.thorough
@pytest.mark.parametrize("place", ["put in place", "written over", "in a revision"])
def test_the_check_of_one_cask_counts_what_others_took(shop: Shop, place: str) -> None:
    """By hand three are written in a file that the index knew without them."""
    path = shop.path(SECOND)
    text = path.read_text(encoding="utf-8")
    new = text + f"  - {{id: e0000003, date: {days_ago(40)}, job: stave, by: ab, staves: [4, 5, 6], action: replace, from: {DONOR}}}\n"
    at: tuple[str, ...] = ()
    if place == "written over":
        path.write_text(new, encoding="utf-8")
    else:
        path.unlink()
        path.write_text(new, encoding="utf-8")
    if place == "in a revision":
        commit_all(shop.root)
        path.write_text(text, encoding="utf-8")
        at = ("--at", "HEAD")
    alone = codes(SECOND, *at) + codes(FIRST, *at)  # Before the check of the whole book, which would tell the index.
    whole = codes(*at)
    assert alone == whole == ["donor-out-of-staves"]
    assert codes(FIRST, SECOND, *at) == whole and codes(DONOR, *at) == []


@pytest.mark.thorough
def test_of_one_day_and_one_id_it_is_told_at_the_same_cask_however_it_is_asked(shop: Shop) -> None:
    """An entry copied from file to file has its id in both; an id is of one file alone."""
    line = f"  - {{id: e0000003, date: {days_ago(39)}, job: stave, by: ab, staves: [4, 5], action: replace, from: {DONOR}}}\n"
    for cask in (FIRST, SECOND):
        path = shop.path(cask)
        path.write_text(path.read_text(encoding="utf-8") + line, encoding="utf-8")
    assert codes(SECOND) == codes() == codes(FIRST, SECOND) == codes(SECOND, FIRST) == ["donor-out-of-staves"] and codes(FIRST) == []


def test_a_breaking_up_that_is_put_out_of_force_tells_what_others_took(shop: Shop) -> None:
    broken = next(event for event in shop.data(DONOR)["events"] if event["job"] == "break-up")["id"]
    for words in (
        ("void", DONOR, broken, "--why", "another cask"),
        ("enter", "break-up", DONOR, "--replaces", broken, "--date", str(days_ago(0)), "--why", "day misread"),
    ):
        done = caskbook(*words, "--by", "ab", "--yes", "--dry-run", "--records", str(shop.root))
        assert f"{FIRST}  a later entry no longer fits: staves of {DONOR}" in done.stderr and "which was not broken up then" in done.stderr, done.stderr
    done = caskbook("void", DONOR, broken, "--why", "another cask", "--by", "ab", "--yes", "--records", str(shop.root))
    assert done.returncode == 0 and "no longer fits" in done.stderr
    assert "donor-not-broken-up" in caskbook("check", "--records", str(shop.root)).stdout
