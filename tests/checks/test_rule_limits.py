"""The limits of the findings: on the very day, at the very figure, and just beside it; and what of the book they may use."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.example_ledgers import TODAY
from checks.test_check_rules import codes

CAME = "# received 2020-01-01, examined 2020-01-02\n"
FULL = "# received 2020-01-01, examined 2020-01-02, filled 2020-01-03\n"
DONOR = """\
# TH-001187
- {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
- {id: e1000002, date: 2020-01-04, job: break-up, by: ab, staves_saved: 2}
# TH-004217
# received 2020-01-01, examined 2020-01-02, opened 2020-01-03
"""


def line(number: int, day: str, job: str, more: str) -> str:
    return f"- {{id: e1{number:06d}, date: {day}, job: {job}, by: ab, {more}}}\n"


def racked(day: str) -> str:
    """A racking of which each side has an id of its own; the one that was filled by it says this day."""
    out = line(5, "2021-01-04", "rack-out", "to: [{cask: TH-004218, litres: 190, abv: 63}], left_l: 0, lost_l: 0, why: x, at_20: true")
    into = line(6, day, "rack-in", "from: [{cask: TH-004217, litres: 190, abv: 63}], spirit: malt, oak_since: 2020-01-03, at_20: true")
    return f"# TH-004217\n{FULL}{out}# TH-004218\n{CAME.replace('2020', '2021')}{into}"


OPEN = "# received 2020-01-01, examined 2020-01-02, opened 2020-01-03\n"
LEAK = FULL + line(6, "2020-01-31", "sample", "ml: 50") + line(7, "2020-02-01", "leak", "at: joint-4, severity: weep")


def topped_from(day: str, more: str = "", source: str = "TH-001187", gone: str = "empty") -> str:
    """A topping of this day from a cask that was emptied, or missed (`gone`), on 2021-01-03."""
    empty = line(8, "2021-01-03", gone, "litres: 180, abv: 62, at_20: true" if gone == "empty" else "note: not in its row")
    top = line(9, day, "top", f"litres: 3, abv: 62, from: {source}, oak_since: 2019-01-03, at_20: true{more}")
    return f"# TH-001187\n{FULL.replace('2020', '2019')}{empty}# TH-004217\n{FULL}{top}"


CASES: list[tuple[str, str, list[str]]] = [
    ("two sides of a racking are of one day", racked("2021-01-04"), ["rack-ids-differ"]),
    ("of one id they are each other's, and of one day all the same", racked("2021-01-05").replace("e1000006", "e1000005"), ["rack-day-differs"]),
    ("one id and one day", racked("2021-01-04").replace("e1000006", "e1000005"), []),
    ("what was racked is what was there", racked("2021-01-04").replace("spirit: malt, oak", "spirit: grain, oak").replace("e1000006", "e1000005"), ["rack-spirit-differs"]),
    ("of a register their ids are of their rows", racked("2021-01-04").replace("oak_since: 2020", "source: register, oak_since: 2020"), []),
    ("a bad word is told once of an entry, and each word", CAME + line(8, "2021-01-03", "examine", "verdict: repair, findings: [{at: stave-3, defect: crackd}, {at: stave-4, defect: crackd}, {at: stave-5, defect: odd}]"), 2 * ["unknown-defect-word"]),
    ("or have no other side", racked("2021-01-05"), 2 * ["rack-without-its-pair"]),
    ("an event of today is not ahead", CAME + line(9, str(TODAY), "note", "note: dark"), []),
    ("one of tomorrow is", CAME + line(9, "2025-01-02", "note", "note: dark"), ["date-in-future"]),
    ("claims may end on the day of receipt", line(1, "2020-01-01", "receive", "verdict: accept, claim_by: 2020-01-01"), []),
    ("and not the day before", line(1, "2020-01-01", "receive", "verdict: accept, claim_by: 2019-12-31"), ["claim-by-before-receipt"]),
    ("a leak may be looked at again the same day", FULL + line(9, "2020-02-01", "leak", "at: joint-4, severity: weep, look_again: 2020-02-01"), []),
    ("and not the day before it", FULL + line(9, "2020-02-01", "leak", "at: joint-4, severity: weep, look_again: 2020-01-31"), ["until-before-its-day"]),
    ("spirit may go into oak here", CAME + line(9, "2020-01-03", "fill", "spirit: malt, litres: 195, abv: 63.5, at_20: true, oak_since: 2020-01-03"), []),
    ("and not the day after", CAME + line(9, "2020-01-03", "fill", "spirit: malt, litres: 195, abv: 63.5, at_20: true, oak_since: 2020-01-04"), ["oak-since-after-filling"]),
    ("litres without a temperature have three percent more room", FULL + line(9, "2020-02-03", "regauge", "litres: 199.5, abv: 63.5, method: meter"), ["uncorrected-gauge"]),
    ("and no more", FULL + line(9, "2020-02-03", "regauge", "litres: 199.5, abv: 66, method: meter"), ["uncorrected-gauge", "lpa-gain"]),
    ("two corrections of a head may say one thing", CAME + line(8, "2020-01-03", "correct", "charred: 2015, wood: mixed, why: read again") + line(9, "2020-01-04", "correct", "charred: 2015, maker: Hollow, why: again"), []),
    ("and are told where they say two", CAME + line(8, "2020-01-03", "correct", "charred: 2015, why: read again") + line(9, "2020-01-04", "correct", "charred: 2016, why: again"), ["head-corrected-twice"]),
    ("of one day only their ids decide", CAME + line(8, "2020-01-03", "correct", "charred: 2015, why: read again") + line(9, "2020-01-03", "correct", "charred: 2016, why: again"), ["head-corrected-at-once"]),
    ("and of two that their ids have the other way round", CAME + line(9, "2020-01-03", "correct", "charred: 2015, why: read again") + line(8, "2020-01-04", "correct", "charred: 2016, why: again"), ["head-corrected-at-once"]),
    ("on one day too two may say one thing", CAME + line(8, "2020-01-03", "correct", "charred: 2015, why: read again") + line(9, "2020-01-03", "correct", "charred: 2015, hoops: 6, why: again"), []),
    ("what a register tells need not be signed", CAME + line(9, "2020-01-03", "note", "note: x, source: register").replace("by: ab", "by: xy"), []),
    ("what is told otherwise must", CAME + line(9, "2020-01-03", "note", "note: x").replace("by: ab", "by: xy"), ["unknown-crew"]),
    ("a faint nose has faults", CAME + line(9, "2020-01-03", "nose", "verdict: faint, faults: [musty]"), []),
    ("a clean one has none", CAME + line(9, "2020-01-03", "nose", "verdict: clean, faults: [musty]"), ["clean-with-faults"]),
    ("a wet look closes nothing", FULL + line(8, "2020-02-03", "leak", "at: joint-4, severity: run") + line(9, "2020-02-04", "look", "at: joint-4, seen: weep, closed_as: repaired"), ["wet-look-closed"]),
    ("a dry one does", FULL + line(8, "2020-02-03", "leak", "at: joint-4, severity: run") + line(9, "2020-02-04", "look", "at: joint-4, seen: dry, closed_as: repaired"), []),
    ("one figure is a measuring", CAME + line(9, "2020-01-03", "measure", "hoops: 6"), []),
    ("no figure is none", CAME + line(9, "2020-01-03", "measure", "note: x"), ["nothing-measured"]),
    ("a grade is of a racking into the cask too", CAME
     + line(8, "2020-01-03", "rack-in", "from: [{cask: TH-009009, litres: 190, abv: 60}], spirit: malt, oak_since: 2010-01-01, at_20: true")
     + line(9, "2020-02-03", "grade", "grade: A, of: e1000008"), ["rack-without-its-pair"]),
    ("a donor broken up on the day", DONOR + line(9, "2020-01-04", "stave", "staves: [4], action: replace, from: TH-001187"), []),
    ("a donor broken up the day after", DONOR + line(9, "2020-01-03", "stave", "staves: [4], action: replace, from: TH-001187"), ["donor-not-broken-up"]),
    ("topped out of a cask on the day it was emptied", topped_from("2021-01-03"), []),
    ("and the day after", topped_from("2021-01-04"), ["top-from-empty"]),
    ("what a register tells of it is not judged", topped_from("2021-01-04", ", source: register"), []),
    ("a cask that the book has not", topped_from("2021-01-04", source="TH-001188"), ["top-from-unknown"]),
    ("a cask topped from itself", topped_from("2021-01-04", source="TH-004217"), ["top-from-itself"]),
    ("topped out of a cask on the day it was missed", topped_from("2021-01-03", gone="missing"), []),
    ("and the day after it was missed", topped_from("2021-01-04", gone="missing"), ["top-from-elsewhere"]),
    ("a tank", topped_from("2021-01-04", source="tank 1188"), []),
    ("a number that is none of the house", f'# house.yaml\nid_pattern: "TH-[0-9]{{6}}"\n{topped_from("2021-01-04", source="TANK-0012")}', []),
    ("as few staves as a barrel has after a repair", OPEN + line(9, "2020-01-04", "stave", "staves: [4], action: replace, from: new, staves_after: 25"), []),
    ("one less", OPEN + line(9, "2020-01-04", "stave", "staves: [4], action: replace, from: new, staves_after: 24"), ["parts-unlike-type"]),
    ("of a register", OPEN + line(9, "2020-01-04", "stave", "staves: [4], action: replace, from: new, staves_after: 24, source: register"), []),
    ("more hoops than before", OPEN + line(9, "2020-01-04", "hoop", "hoops: [A-1], hoops_after: 8"), []),
    ("a look of a leak", LEAK + line(9, "2020-02-15", "look", "seen: dry, closed_as: took-up, of: e1000007"), []),
    ("a dry look of another entry", LEAK + line(9, "2020-02-15", "look", "seen: dry, closed_as: took-up, of: e1000006"), ["look-of-no-leak"]),
    ("a wet one is told once", LEAK + line(9, "2020-02-15", "look", "seen: drip, of: e1000006"), ["leak-not-open"]),
    ("a setting of the whole house under a type", "# house.yaml\ntypes: {butt: {timezone: UTC, test_limit_psi: 9}}\n" + CAME, ["setting-of-no-type"]),
    ("one that types have", "# house.yaml\ntypes: {butt: {test_limit_psi: 9, due: {rechar: {due_at: 4}}}}\n" + CAME, []),
    ("as many staves as were saved", DONOR + line(9, "2020-01-04", "stave", "staves: [4, 5], action: replace, from: TH-001187"), []),
    ("one more", DONOR + line(9, "2020-01-04", "stave", "staves: [4, 5, 6], action: replace, from: TH-001187"), ["donor-out-of-staves"]),
    ("rejoined staves are not taken", DONOR + line(9, "2020-01-04", "stave", "staves: [4, 5, 6], action: rejoint, from: TH-001187"), []),
    ("half of the alcohol came out", FULL + line(9, "2022-01-03", "empty", "litres: 97.5, abv: 63.5, at_20: true"), []),
    ("less than half", FULL + line(9, "2022-01-03", "empty", "litres: 97.4, abv: 63.5, at_20: true"), ["emptied-unaccounted"]),
    ("an emptying of nothing needs no temperature", FULL + line(9, "2022-01-03", "empty", "litres: 0, why: leaked-out"), []),
    ("topped over its litres within a year of a gauge", FULL + line(9, "2020-06-03", "top", "litres: 40, abv: 60, at_20: true, oak_since: 2020-01-03"), ["over-capacity"]),
    ("and years after it", FULL + line(9, "2024-06-03", "top", "litres: 40, abv: 60, at_20: true, oak_since: 2020-01-03"), []),
    ("an imported draw is not judged", FULL + line(9, "2020-06-03", "draw", "litres: 500, abv: 63, at_20: true, source: register"), []),
    ("an imported gain is not judged", FULL + line(9, "2022-01-03", "regauge", "litres: 199, abv: 66, at_20: true, method: dip, source: register"), []),
    ("a gain within a percent is none", FULL + line(9, "2022-01-03", "regauge", "litres: 196.5, abv: 63.5, at_20: true, method: dip"), []),
    ("measured off by the whole tolerance", "# received 2020-01-01\n" + line(9, "2020-01-02", "measure", "capacity_l: 198"), []),
    ("and a little more", "# received 2020-01-01\n" + line(9, "2020-01-02", "measure", "capacity_l: 197.9"), ["capacity-off-nominal"]),
    ("what was drawn is not there any more", FULL + line(8, "2021-01-03", "draw", "litres: 100, abv: 63.5, at_20: true") + line(9, "2022-01-03", "draw", "litres: 100, abv: 63.5, at_20: true"), ["drawn-more-than-held"]),
]  # fmt: skip


@pytest.mark.parametrize(("what", "text", "found"), CASES, ids=[case[0] for case in CASES])
def test_at_the_limit_and_beside_it(what: str, text: str, found: list[str], tmp_path: Path) -> None:
    assert codes(text, tmp_path) == found


LAW = """\
# house.yaml
laws: [%s]
# TH-004217
cask: TH-004217
format: 1
type: barrel
capacity_l: 200
prior: %s
charred: 2019
events:
  - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
  - {id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
  - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: bourbon, litres: 195, abv: %s, at_20: true}
  - {id: e1000004, date: %s, job: empty, by: ab, litres: 185, abv: %s, at_20: true}
"""


@pytest.mark.parametrize(
    ("law", "filled", "day", "drawn", "found"),
    [
        ("bourbon-5.143", 62.5, "2024-01-03", 61, []), ("bourbon-5.143", 62.6, "2024-01-03", 61, ["fill-over-law-strength"]),
        ("straight-5.143", 62, "2022-01-03", 61, []), ("straight-5.143", 62, "2022-01-02", 61, ["left-under-age"]),
        ("scotch-2009", 62, "2023-01-03", 61, []), ("scotch-2009", 62, "2023-01-02", 61, ["left-under-age"]),
        ("scotch-2009", 62, "2024-01-03", 40, []), ("scotch-2009", 62, "2024-01-03", 39.9, ["emptied-under-strength"]),
    ],
)  # fmt: skip
def test_what_the_law_says_to_the_day_and_the_tenth(law: str, filled: float, day: str, drawn: float, found: list[str], tmp_path: Path) -> None:
    assert codes(LAW % (law, "[]", filled, day, drawn), tmp_path) == found


def test_the_measured_litres_count_for_the_law_from_then_on(tmp_path: Path) -> None:
    text = "# house.yaml\nlaws: [scotch-2009]\n# TH-004217\ncask: TH-004217\nformat: 1\ntype: custom\ncapacity_l: %s\nevents:\n  - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}\n  - {id: e1000002, date: 2020-01-02, job: measure, by: ab, capacity_l: %s}\n"
    assert "cask-over-700-litres" not in codes(text % (706, 699.5), tmp_path / "a")
    assert "cask-over-700-litres" in codes(text % (699, 705), tmp_path / "b")


@pytest.mark.parametrize(
    ("first", "last", "found"),
    [
        ("2020-01-01", "2020-01-02", []),
        ("2020-01-02", "2020-01-02", ["crew-not-yet-or-no-longer"]),
        ("2020-01-01", "2020-01-01", ["crew-not-yet-or-no-longer"]),
    ],
)
def test_crew_sign_on_their_first_and_last_day(first: str, last: str, found: list[str], tmp_path: Path) -> None:
    once = f"{{initials: ab, from: {first}, until: {last}}}"
    for n, crew in enumerate((once, f"{once}, {{initials: ab, from: 2023-01-01}}")):
        assert codes(f"# house.yaml\ncrew: [{crew}]\n# TH-004217\n{CAME}", tmp_path / str(n)) == found


def test_a_head_of_the_year_of_arrival_is_not_later_than_it(tmp_path: Path) -> None:
    text = "# TH-004217\ncask: TH-004217\nformat: 1\ntype: barrel\ncharred: %s\nevents:\n  - {id: e1000001, date: 2020-03-01, job: receive, by: ab, verdict: accept}\n"
    assert codes(text % "2020", tmp_path / "a") == []
    assert codes(text % "2020-03", tmp_path / "b") == []
    assert codes(text % "2020-04", tmp_path / "c") == ["head-later-than-arrival"]
