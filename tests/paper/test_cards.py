"""Job cards: what is due, along the berths, with room for every field, on A4, A5 and as text."""

from __future__ import annotations

import csv
import io
import sys
from datetime import date
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import HOUSE, Shop, days_ago
from entry.states import STATES
from laws import crossed

from caskbook.core import extra
from caskbook.entry.blank import Card, Sheet, blank_csv, blank_text
from caskbook.entry.fields import HEAD_FILE, NEW_FILE_JOBS, head_fields, job_fields
from caskbook.entry.request import MANY_FILES, all_jobs
from caskbook.entry.sheet_columns import columns_of, fields_headed
from caskbook.paper.cards import cards
from caskbook.paper.label import PAPERS
from caskbook.paper.pictures import pdf
from caskbook.paper.shapes import Box, Words
from paper.pixels import words_of

pytestmark = pytest.mark.thorough

JOBS = [(job,) for job in all_jobs() if job not in MANY_FILES] + [("shave", "char"), ("examine", "test"), ("drive", "test")]
LONG = "to be repaired since 2026-03-01, still open: " + ", ".join(f"joint-{n} weep" for n in range(1, 40))
CASKS = [f"TH-{number:06d}" for number in range(4501, 4506)]


def some(count: int) -> tuple[Card, ...]:
    names = [f"TH-{number:06d}" if number % 3 else f"LONGHOUSE-XY12-{number:09d}" for number in range(count)]
    return tuple(Card(name, f"W1/{n}/17", "madeira-drum", (LONG,) if n % 2 else ("no pass since 2026-09-01",)) for n, name in enumerate(names))


def sheet(jobs: tuple[str, ...], count: int, work: bool = False) -> Sheet:
    return Sheet(jobs, "Thornmere House", some(count), date(2026, 11, 29), work)


@crossed("count,paper,job", [1, 24, 25, 100], ["A4", "A5"], ["test", "look", "nose", "examine"])
def test_a_page_has_24_casks_each_once(tmp_path: Path, count: int, paper: str, job: str) -> None:
    made = sheet((job,), count)
    path = tmp_path / "x.pdf"
    path.write_bytes(pdf(cards(made, paper), "x"))
    pages = words_of(path)
    assert len(pages) == -(-count // 24)
    for at, page in enumerate(pages):
        there = [card.cask for card in made.cards[at * 24 : at * 24 + 24]]
        assert [word for word in page.split() if word in {card.cask for card in made.cards}] == there
        assert f"page {at + 1} of {len(pages)}" in page and page.count("no pass since 2026-09-01") == -(-len(there) // 2)


@crossed("paper,work", list(PAPERS), [False, True])
def test_every_field_has_its_room_on_every_card(paper: str, work: bool) -> None:
    """Nothing leaves the page or its strip; cells lie beside each other; each is named in words, and no card is lost."""
    width, height = PAPERS[paper]
    for jobs in JOBS:
        made = sheet(jobs, 25, work)
        pages = cards(made, paper)
        shown = made.cells(spared(made, paper))
        assert any("minutes of work" in cell.label for cell in made.cells()) == (work and any(one.field.key == "work_minutes" for one in columns_of(jobs)))
        told = [one.text for page in pages for one in page.shapes if isinstance(one, Words)]
        for cell in shown:
            assert sum(text == cell.label or (text.endswith("…") and cell.label.startswith(text[:-1])) for text in told) >= 25, (jobs, cell)
            assert all(told.count(word) >= 25 for word in cell.ticks)
        assert [text for text in told if text in {card.cask for card in made.cards}] == [card.cask for card in made.cards]
        assert not [text for text in told if "_" in text and text not in LONG], "words, not keys"
        for page in pages:
            cells = [one for one in page.shapes if isinstance(one, Box) and one.grey]
            strips = [one for one in page.shapes if isinstance(one, Box) and one.edge == 0.24]
            assert all(sum(one.width * one.height for one in strips) > 0 and one.width >= 6 and one.height >= 4.79 for one in cells)
            for one in page.shapes:
                right, low = one.x + one.width, one.y if isinstance(one, Words) else one.y + one.height
                assert one.x >= 6.9 and right <= width - 6.5 and low <= height - 6.9 and one.y >= 5, (jobs, one)
            for strip in strips:
                own = [one for one in cells if strip.y - 1e-6 <= one.y < strip.y + strip.height - 1e-6]
                assert len(own) == len(shown) and abs(sum(one.width * one.height for one in own) - (strip.width - _left(cells)) * strip.height) < 0.01


def spared(made: Sheet, paper: str) -> list[str]:
    """Keys of what has room on the cards besides, as their labels tell."""
    told = {one.text for one in cards(made, paper)[0].shapes if isinstance(one, Words)}
    return [
        key for group in made.extras() for key in group if made.cells([key])[-1 - (made.jobs != ("note",)) if key == "photo" else _at(made, key)].label in told
    ]


def _at(made: Sheet, key: str) -> int:
    return next(n for n, cell in enumerate(made.cells([key])) if cell not in made.cells())


def casks_of_a_page(made: Sheet, paper: str) -> int:
    return sum(one.edge == 0.24 for one in cards(made, paper)[0].shapes if isinstance(one, Box))


@pytest.mark.parametrize("jobs", JOBS)
def test_minutes_material_and_photographs_have_room_where_no_cask_loses_its_place(jobs: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """On A4 alone; a group that is left out would have pushed a cask off the page."""
    made = sheet(jobs, 100)
    there = spared(made, "A4")
    monkeypatch.setattr("caskbook.paper.cards._SPARE", ())
    without = casks_of_a_page(made, "A4")
    monkeypatch.undo()
    assert casks_of_a_page(made, "A4") == without and spared(made, "A5") == []
    for group in made.extras():
        if not set(group) <= set(there):
            assert not set(group) & set(there), "of joined jobs both or neither"
            assert _on_a_page(made, [*there, *group]) < without
    usual = jobs in [(job,) for job in ("test", "examine", "nose", "drive", "hoop", "stave", "flag", "shave", "char", "treat")]
    assert not usual or there == ["work_minutes", "material", "photo"]


def _on_a_page(made: Sheet, more: list[str]) -> int:
    """How many casks would go on a page of A4 with room for these too."""
    from caskbook.paper import cards as module

    of, (width, height) = module._MEASURES["A4"], PAPERS["A4"]
    lines = sum(len(module.folded(text, width - 2 * of.edge, of.small, 20)) for text in made.words())
    high = height - 2 * of.edge - (1.1 * of.big + 2.4 * of.small + 8) - (lines * of.small * 1.25 + 1)
    return module._each(module._strip(made.cells(more), width - 2 * of.edge - of.cask, high, of), high)


def test_text_has_room_for_all_of_it() -> None:
    text = blank_text(sheet(("test",), 3))
    assert text.count("minutes of work ______") == text.count("material used ____") == text.count("photo ____") == 3
    assert all(len(line) <= 80 for line in text.splitlines())
    text = blank_text(sheet(("look",), 3))
    assert "minutes of work" not in text and text.count("photo ____") == 3


def test_what_is_written_on_a_card_is_read_back(shop: Shop, tmp_path: Path) -> None:
    """Under the keys of the blank CSV, and under the words on the card; of joined jobs each has its own minutes, a photograph is of both."""
    assert run(shop, "--for", "test", "--due", CASKS[0], "--save", "a.csv")[0] == 0
    rows = list(csv.DictReader(io.StringIO((tmp_path / "a.csv").read_text())))
    rows[0] |= {"result": "pass", "psi": "11", "work_minutes": "12", "material": "2 hoops, rush", "photo": "photos/a.jpg, photos/b.jpg"}
    with (tmp_path / "a.csv").open("w") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    head = "date,job,cask,by,result,air pressure,minutes of work,material used,photo\n"
    (tmp_path / "b.csv").write_text(head + f",test,{CASKS[1]},ab,pass,11,15,rush,photos/c.jpg\n")
    head = "date,job,cask,by,method,level,shave: minutes of work,char: minutes of work,photo\n"
    (tmp_path / "c.csv").write_text(head + f",shave+char,{CASKS[2]},ab,flail,3,20,30,photos/d.jpg\n")
    for name in ("a", "b", "c"):
        ran = caskbook("enter", "sheet", f"{name}.csv", "--yes", "--records", str(shop.root))
        assert ran.returncode == 0, ran.stderr
    one, other = shop.last(CASKS[0]), shop.last(CASKS[1])
    assert (one["work_minutes"], one["material"], one["photo"]) == (12, ["2 hoops", "rush"], ["photos/a.jpg", "photos/b.jpg"])
    assert (other["work_minutes"], other["material"], other["photo"]) == (15, ["rush"], ["photos/c.jpg"])
    shave, char = [event for event in shop.data(CASKS[2])["events"] if event["job"] in ("shave", "char")]
    assert (shave["work_minutes"], char["work_minutes"], shave["photo"], char["photo"]) == (20, 30, ["photos/d.jpg"], ["photos/d.jpg"])
    for heading, cell, told in (("minutes of work", "long", "'long' is no number"), ("photo", "/etc/x", "photo"), ("photo", "../x.jpg", "photo")):
        (tmp_path / "d.csv").write_text(f"date,job,cask,by,result,psi,{heading}\n,test,{CASKS[3]},ab,pass,11,{cell}\n")
        ran = caskbook("enter", "sheet", "d.csv", "--yes", "--records", str(shop.root))
        assert ran.returncode != 0 and told in ran.stderr and shop.last(CASKS[3])["job"] != "test", ran.stderr


def _left(cells: list[Box]) -> float:
    first = min(one.x for one in cells)
    return first - (10 if first > 60 else 7)


def test_a_pressure_that_all_have_alike_is_written_once() -> None:
    """As `enter sheet FILE --psi 11` takes it."""
    for job, there in (("test", True), ("look", False)):
        made = sheet((job,), 30)
        assert blank_text(made).count("air pressure for all, psi ____________") == 2 * there
        pages = cards(made, "A5")
        assert sum(one.text == "air pressure for all, psi" for page in pages for one in page.shapes if isinstance(one, Words)) == 2 * there


def test_a_reason_too_long_for_its_strip_is_cut_with_a_sign_and_whole_in_text() -> None:
    pages = cards(sheet(("test",), 2), "A5")
    assert any(one.text.endswith("…") for one in pages[0].shapes if isinstance(one, Words))
    text = blank_text(sheet(("test",), 2))
    assert "joint-39 weep" in text and all(len(line) <= 80 for line in text.splitlines())


@pytest.mark.parametrize("jobs", JOBS)
def test_each_heading_of_a_blank_csv_means_the_field_it_was_made_for(jobs: tuple[str, ...]) -> None:
    for column in columns_of(jobs):
        assert (column.job, column.field.key) in fields_headed(jobs, column.key)
    headings = next(csv.reader(io.StringIO(blank_csv(jobs, []))))
    assert len(set(headings)) == len(headings)
    places = {place for heading in headings[5:] for place in fields_headed(jobs, heading)}
    for job in jobs:
        wanted = {(job, one.key) for one in job_fields(job) if one.must or (one.key not in ("sheet", "why", "replaces", "answers", "by", "note"))}
        assert not {place for place in wanted - places if not _untyped(*place)}
        if job in NEW_FILE_JOBS:
            assert {(HEAD_FILE, one.key) for one in head_fields()} <= places


def _untyped(job: str, key: str) -> bool:
    return next(one.kind for one in job_fields(job) if one.key == key) in ("yaml", "event", "flag")


def test_a_heading_may_be_the_word_on_the_card_and_one_of_two_jobs_is_asked_for() -> None:
    assert fields_headed(["test"], "cured_by") == fields_headed(["test"], "cured_by") == [("test", "cured_by")]
    assert fields_headed(["test"], "air_pressure,_psi") == fields_headed(["test"], "air_pressure") == [("test", "psi")]
    with pytest.raises(Exception, match="of which job\\? shave_depth_mm or char_depth_mm"):
        fields_headed(["shave", "char"], "depth_mm")


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    monkeypatch.chdir(tmp_path)
    made = Shop(tmp_path, HOUSE + "stores: {W1: warehouse 1, W3: warehouse 3}\nfill_needs: test\n")
    ready = STATES["ready"] or []
    for at, cask in enumerate(CASKS[:4]):
        berth = {"job": "move", "date": days_ago(5), "berth": ("W1/05/10", "W1/05/9", "W3/01/1", "W1/04/1")[at]}
        made.put(*ready, berth, cask=cask, parcel=f"P-{at % 2}")
    made.put(*ready, {"job": "test", "date": days_ago(3), "psi": 11, "result": "pass"}, cask=CASKS[4])
    return made


def run(shop: Shop, *words: str) -> tuple[int, str, str]:
    ran = caskbook("sheet", *words, "--records", str(shop.root))
    return ran.returncode, ran.stdout, ran.stderr


def casks_in(text: str) -> list[str]:
    return [line.split()[2] for line in text.splitlines() if line.startswith("[ ] TH-")]


def test_what_is_due_stands_along_the_berths_with_its_reason(shop: Shop, tmp_path: Path) -> None:
    code, out, err = run(shop, "--for", "test", "--due")
    assert code == 0 and casks_in(out) == [CASKS[3], CASKS[1], CASKS[0], CASKS[2]], err
    assert "due on " in out and "house tests every cask before filling" in out and "[ ] TH-004504  W1/04/1  barrel" in out
    assert casks_in(run(shop, "--for", "test", "--due", "--store", "warehouse 1", "--parcel", "P-1")[1]) == [CASKS[3], CASKS[1]]
    assert casks_in(run(shop, "--for", "test", "--due", "--berth", "W3", "--berth", "W1/04")[1]) == [CASKS[3], CASKS[2]]
    assert casks_in(run(shop, "--for", "test", "--due", *CASKS[:2], CASKS[4])[1]) == [CASKS[1], CASKS[0]]
    assert CASKS[4] not in out and "[ ] cask" not in out
    assert casks_in(run(shop, "--for", "test", "--due", "--rows", "6")[1])[:1] == [CASKS[3]]
    rows = list(csv.DictReader(io.StringIO(run(shop, "--for", "test", "--due", "--format", "csv")[1])))
    assert [row["cask"] for row in rows] == [CASKS[3], CASKS[1], CASKS[0], CASKS[2]]
    assert rows[0]["#berth"] == "W1/04/1" and "house tests" in rows[0]["#reason"] and {row["job"] for row in rows} == {"test"}


def test_a_number_that_was_joined_has_the_card_of_the_cask_that_goes_on(shop: Shop) -> None:
    kept, joined = CASKS[:2]
    assert shop.enter("same-as", kept, "--of", joined, "--why", "one cask", "--yes").code == 0
    for more in ((), ("--due",)):
        code, out, err = run(shop, "--for", "test", joined, kept, CASKS[2], *more)
        assert code == 0 and casks_in(out) == [kept, CASKS[2]] and "W1/05/" in out and f"{joined} is the same cask as {kept}" in err, err


def test_soon_brings_what_comes_next(shop: Shop) -> None:
    assert CASKS[4] not in run(shop, "--for", "examine", "--due", "--soon")[1]
    assert casks_in(run(shop, "--for", "regauge", "--due", "--soon")[1]) == []
    ahead = days_ago(-400).isoformat()
    assert (
        f"due on {ahead}" in run(shop, "--for", "test", "--due", "--as-of", ahead)[1] and CASKS[4] in run(shop, "--for", "test", "--due", "--as-of", ahead)[1]
    )
    shop.put(*(STATES["filled"] or []), cask=CASKS[4])
    due, soon = (run(shop, "--for", "examine", "--due", *more)[1] for more in ((), ("--soon",)))
    assert CASKS[4] in soon and CASKS[4] not in due


def test_cards_are_saved(shop: Shop, tmp_path: Path) -> None:
    assert run(shop, "--for", "test", "--due", "--save", "x.pdf") == (0, "", "4 cards on 1 page of A4: x.pdf\n")
    assert run(shop, "--for", "test", "--due", "--save", "x.pdf", "--paper", "A5")[2] == "4 cards on 1 page of A5: x.pdf\n"
    house = shop.root / "house.yaml"
    house.write_text(house.read_text(encoding="utf-8") + "paper: A5\n", encoding="utf-8")
    assert run(shop, "--for", "test", "--save", "x.pdf")[2] == "24 cards on 1 page of A5: x.pdf\n"
    assert run(shop, "--for", "test", "--due", "--save", "x.csv")[2] == run(shop, "--for", "test", "--due", "--save", "x.txt")[2].replace("txt", "csv")
    for name in ("x.csv", "x.txt"):
        kept = (tmp_path / name).read_bytes()
        code, _, err = run(shop, "--for", "look", "--save", name)
        assert code == 2 and "may be filled in" in err and (tmp_path / name).read_bytes() == kept


def test_nothing_due_is_said_and_nothing_is_saved(shop: Shop, tmp_path: Path) -> None:
    code, out, err = run(shop, "--for", "look", "--due", "--save", "x.pdf")
    assert code == 0 and not out and "nothing is due on" in err and "calls for look" in err and not (tmp_path / "x.pdf").exists()
    assert run(shop, "--for", "test", "--berth", "w1")[:2] == (1, "")


REFUSED = {
    "calls for drive: --due goes with look": ("--for", "drive", "--due"),
    "TH-009999 is not in the book": ("--for", "test", "--due", "TH-009999"),
    "--soon goes with --due": ("--for", "test", "--soon"),
    "--as-of goes with --due": ("--for", "test", "--as-of", "2026-01-01"),
    "--as-of: ": ("--for", "test", "--due", "--as-of", "2026-02-31"),
    "--paper goes with --save FILE.pdf": ("--for", "test", "--paper", "A5"),
    "--paper A3: expected A4 or A5": ("--for", "test", "--save", "x.pdf", "--paper", "A3"),
    "the ending of x.csv says it already": ("--for", "test", "--save", "x.csv", "--format", "text"),
    "expected a file that ends in .pdf, .txt or .csv": ("--for", "test", "--save", "x.docx"),
    "there is no folder nowhere": ("--for", "test", "--save", "nowhere/x.pdf"),
    "begins a file goes by itself": ("--for", "receive+test"),
    "is no option of sheet": ("--for", "test", "--psi", "11"),
    "--rows 0: expected 1 to 500": ("--for", "test", "--rows", "0"),
    "--berth needs a value": ("--for", "test", "--berth", "--due"),
}


@pytest.mark.parametrize("told", REFUSED)
def test_what_cannot_be_is_refused_in_a_line(shop: Shop, told: str) -> None:
    code, out, err = run(shop, *REFUSED[told])
    assert code == 2 and told in err and not out and len(err.splitlines()) == 1, err


def test_text_has_pages_of_24_and_needs_no_library(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    extra.library.cache_clear()
    monkeypatch.setitem(sys.modules, "reportlab", None)
    code, out, _ = run(shop, "--for", "test", "--rows", "50")
    assert code == 0 and [page.count("[ ] cask") for page in out.split("\f")] == [24, 24, 2] and "page 3 of 3" in out
    assert "\f" not in caskbook("sheet", "--for", "test", "--rows", "50", "--records", str(shop.root), terminal=True).stdout
    code, _, err = run(shop, "--for", "test", "--save", "x.pdf")
    assert code == 2 and "pip install" in err
    extra.library.cache_clear()
