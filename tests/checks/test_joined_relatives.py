"""Children, donors and racks of a cask with two numbers: the rules look at the one cask, under whichever of its numbers it is named."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from commands import caskbook
from index.book import commit_all

pytestmark = pytest.mark.thorough

GOES_ON, JOINED, OTHER, CHILD = "TH-007001", "TH-007002", "TH-007003", "TH-009001"
RECEIPT = ("accept", "--type", "barrel", "--capacity", "200", "--staves", "30", "--date", "2025-10-01")


def enter(*words: str) -> str:
    done = caskbook("enter", *words, "--by", "ab", "--yes")
    assert done.returncode == 0, (words, done.stdout, done.stderr)
    return done.stdout + done.stderr


def codes(*casks: str) -> list[str]:
    """The codes of the findings, of the whole book where no cask is named."""
    return [found["code"] for found in json.loads(caskbook("check", *casks, "--format", "json").stdout)["findings"]]


def join() -> None:
    enter("same-as", GOES_ON, "--of", JOINED, "--why", "one cask", "--date", "2025-10-20")


def void(cask: str, entry: str) -> None:
    done = caskbook("void", cask, entry, "--why", "two casks", "--by", "ab", "--yes")
    assert done.returncode == 0, (done.stdout, done.stderr)


def last_id(cask: str) -> str:
    return re.findall(r"id: (\w+)", file_of(cask).read_text())[-1]


def file_of(cask: str) -> Path:
    return Path("casks") / cask[:6] / f"{cask}.yaml"


@pytest.fixture(params=["on", "off"])
def book(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A book of three casks, the second filled with port before; with an index, and without."""
    (tmp_path / "house.yaml").write_text("name: House\ntimezone: UTC\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    if request.param == "off":
        monkeypatch.setenv("CASKBOOK_INDEX", "off")
    else:
        monkeypatch.delenv("CASKBOOK_INDEX", raising=False)
    for cask, prior, charred in ((GOES_ON, "bourbon 1", "2016"), (JOINED, "port 2", "never"), (OTHER, "bourbon 1", "2016")):
        enter("receive", cask, *RECEIPT, "--prior", prior, "--charred", charred)
    enter("examine", GOES_ON, JOINED, OTHER, "sound", "--date", "2025-10-02")
    return tmp_path


def fill_and_empty(cask: str) -> None:
    enter("fill", cask, "--spirit", "malt", "--litres", "180", "--abv", "63", "--at-20", "--date", "2025-10-03", "--anyway", "--why", "x")
    enter("empty", cask, "--litres", "179", "--abv", "63", "--at-20", "--date", "2025-10-04")


def convert(cask: str) -> None:
    enter("convert", cask, "--into", "1", "hogshead", "--as", CHILD, "--staves", "20", "--date", "2025-10-10", "--anyway", "--why", "x")


def test_a_child_made_before_the_join_is_held_against_the_whole_life(book: Path) -> None:
    convert(JOINED)
    assert codes(CHILD) == [] and "inherited-figures-differ" not in codes()
    join()
    assert codes(CHILD) == ["inherited-figures-differ"]
    assert codes().count("inherited-figures-differ") == 1
    void(GOES_ON, last_id(GOES_ON))
    assert codes(CHILD) == [] and "inherited-figures-differ" not in codes()


def test_a_child_made_after_the_join_inherits_the_whole_life_and_is_judged_again_when_a_file_of_it_changes(book: Path) -> None:
    fill_and_empty(JOINED)
    join()
    convert(GOES_ON)
    assert "fills_life: 2" in file_of(CHILD).read_text()
    assert "inherited-figures-differ" not in codes() + codes(CHILD)
    head = file_of(GOES_ON).read_text()
    file_of(GOES_ON).write_text(head.replace("2016", "2010"), encoding="utf-8")
    assert "inherited-figures-differ" in codes()
    file_of(GOES_ON).write_text(head, encoding="utf-8")
    assert "inherited-figures-differ" not in codes()
    head = file_of(JOINED).read_text()
    file_of(JOINED).write_text(head.replace("job: fill\n", "job: season\n").replace("spirit: malt", "liquor: oloroso"), encoding="utf-8")
    assert "inherited-figures-differ" in codes()


def test_a_commit_tells_of_the_child_as_the_work_tree_does(book: Path) -> None:
    convert(JOINED)
    commit_all(book)
    join()
    commit_all(book)
    found = [[one["code"] for one in json.loads(caskbook("check", "--at", at, "--format", "json").stdout)["findings"]] for at in ("HEAD~1", "HEAD")]
    assert [one.count("inherited-figures-differ") for one in found] == [0, 1]


def test_the_other_half_of_a_racking_stands_in_either_file(book: Path) -> None:
    enter("fill", JOINED, "--spirit", "malt", "--litres", "180", "--abv", "63", "--at-20", "--date", "2025-10-03", "--anyway", "--why", "x")
    enter("rack", JOINED, "--to", OTHER, "--litres", "180", "--abv", "63", "--at-20", "--date", "2025-10-05", "--why", "x", "--anyway")
    file_of(OTHER).write_text(file_of(OTHER).read_text().replace(JOINED, GOES_ON), encoding="utf-8")
    assert "rack-without-its-pair" in codes() and "rack-without-its-pair" in codes(OTHER)
    join()
    assert not [code for code in codes() + codes(OTHER) if code.startswith("rack-")]


@pytest.mark.parametrize("donor", [GOES_ON, JOINED])
def test_parts_come_from_the_one_cask_under_either_number(book: Path, donor: str) -> None:
    join()
    enter("retire", GOES_ON, "--reasons", "old", "--approved", "ab", "--date", "2025-10-21")
    enter("break-up", GOES_ON, "--staves-saved", "20", "--date", "2025-10-22")
    enter("stave", OTHER, "--staves", "3", "replace", "--from", donor, "--date", "2025-10-23")
    assert not {"donor-not-broken-up", "donor-unknown"} & {*codes(), *codes(OTHER)}


def test_what_a_sheet_joins_counts_for_the_parts_it_takes(book: Path) -> None:
    enter("retire", GOES_ON, "--reasons", "old", "--approved", "ab", "--date", "2025-10-21")
    enter("break-up", GOES_ON, "--staves-saved", "20", "--date", "2025-10-22")
    stave = f"stave,{OTHER},2025-10-23,,,3,replace,{JOINED}\n"
    columns = "job,cask,date,of,why,staves,action,from\n"
    Path("alone.csv").write_text(columns + stave, encoding="utf-8")
    assert "was not broken up" in caskbook("enter", "sheet", "alone.csv", "--by", "ab", "--yes").stderr
    Path("day.csv").write_text(f"{columns}same-as,{GOES_ON},2025-10-20,{JOINED},one cask,,,\n{stave}", encoding="utf-8")
    enter("sheet", "day.csv")
    assert "donor-not-broken-up" not in codes() + codes(OTHER)


def test_parts_taken_under_both_numbers_are_counted_together(book: Path) -> None:
    join()
    enter("retire", GOES_ON, "--reasons", "old", "--approved", "ab", "--date", "2025-10-21")
    enter("break-up", GOES_ON, "--staves-saved", "3", "--date", "2025-10-22")
    for donor, staves in ((GOES_ON, "3,4"), (JOINED, "5")):
        assert "donor-out-of-staves" not in codes()
        enter("stave", OTHER, "--staves", staves, "replace", "--from", donor, "--date", "2025-10-23")
    done = caskbook("enter", "stave", OTHER, "--staves", "6", "replace", "--from", JOINED, "--date", "2025-10-23", "--by", "ab", "--yes")
    assert "4 staves taken of it in all, but 3 saved" in done.stderr
    file_of(GOES_ON).write_text(file_of(GOES_ON).read_text().replace("staves_saved: 3", "staves_saved: 2"), encoding="utf-8")
    assert codes().count("donor-out-of-staves") == codes(OTHER).count("donor-out-of-staves") == 1
