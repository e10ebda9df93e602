"""What cannot be read is said as such in every reason: never as a word for nothing, and never as something nobody wrote."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook

pytestmark = pytest.mark.thorough

HEAD = "cask: {cask}\nformat: 1\ntype: barrel\ncapacity_l: 200\nstaves: 31\nheads: [5, 5]\nhoops: 6\nprior: []\ncharred: 2011\nevents:\n"
RECEIVED = "{id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept, claim_by: 2026-12-31}"
EXAMINED = "{id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}"
FILLED = "{id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, temp_c: 14}"
OPENED = "{id: e1000003, date: 2020-01-03, job: open, by: ab, heads: [A]}"


def told(root: Path, *events: str, words: tuple[str, ...] = (), head: str = HEAD, others: tuple[tuple[str, ...], ...] = ()) -> str:
    """What the program says of a cask with these entries, in one line; `others`: the entries of the casks numbered on from it."""
    root.mkdir(exist_ok=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}]\n")
    (root / "casks" / "TH-004").mkdir(parents=True, exist_ok=True)
    for n, entries in enumerate((events, *others)):
        number = f"TH-004{217 + n}"
        (root / "casks" / "TH-004" / f"{number}.yaml").write_text(head.format(cask=number) + "".join(f"  - {entry}\n" for entry in entries))
    return " ".join(caskbook(*(words or ("show", "TH-004217")), cwd=root).stdout.split())


LEAK = "{{id: e1000004, date: 2020-02-01, job: leak, by: ab, at: {at}, severity: {severity}}}"
DUE = ("due", "TH-004217", "--all", "--as-of", "2020-03-01")
REASONS = {
    "place": ((RECEIVED, EXAMINED, FILLED, LEAK.format(at="[1]", severity="run")), "run at ? 2020-02-01", "run at None"),
    "both": ((RECEIVED, EXAMINED, FILLED, LEAK.format(at="[1]", severity="bad")), "? at ? 2020-02-01", "None at None"),
    "verdict": (
        (RECEIVED, EXAMINED, "{id: e1000004, date: 2020-02-01, job: examine, by: ab, verdict: soond}"),
        "received 2020-01-01, examined 2020-02-01, but what was found cannot be read: examine again",
        "not examined since",
    ),
    "nose": (
        (RECEIVED, EXAMINED, "{id: e1000004, date: 2020-02-01, job: nose, by: ab, verdict: cleen}"),
        "received 2020-01-01, examined 2020-01-02, but the nosing of 2020-02-01 cannot be read: examine again",
        "not examined since",
    ),
    "neither": ((RECEIVED,), "received 2020-01-01, not examined since", "cannot be read"),
}


@pytest.mark.parametrize("what", REASONS)
def test_a_reason_says_what_cannot_be_read(tmp_path: Path, what: str) -> None:
    events, said, never = REASONS[what]
    shown = told(tmp_path / "book", *events, words=DUE)
    assert said in shown and never not in shown and "None" not in shown, shown


CARDS = {
    "charred": ((RECEIVED,), HEAD.replace("charred: 2011", "charred: 2014-02-31"), "char unknown: when it was last charred cannot be read"),
    "not charred": ((RECEIVED,), HEAD.replace("charred: 2011\n", ""), "char unknown: nobody wrote when it was last charred"),
    "char": (
        (RECEIVED, OPENED, "{id: e1000004, date: 2020-02-31, job: char, by: ab, level: 3}"),
        HEAD,
        "char unknown: when it was last charred cannot be read",
    ),
    "replaced": (
        (RECEIVED, OPENED, "{id: e1000004, date: 2020-01-04, job: stave, by: ab, staves: x, action: replace, from: new}"),
        HEAD,
        "31 staves, how many of them are the first ones is not known",
    ),
    "staves": ((RECEIVED,), HEAD.replace("staves: 31", "staves: many"), "how many staves it has cannot be read"),
    "not counted": ((RECEIVED,), HEAD.replace("staves: 31\n", ""), "parts staves not counted"),
}


@pytest.mark.parametrize("what", CARDS)
def test_a_card_says_what_cannot_be_read(tmp_path: Path, what: str) -> None:
    events, head, said = CARDS[what]
    assert said in told(tmp_path / "book", *events, head=head)


def test_a_map_and_a_line_say_so_too(tmp_path: Path) -> None:
    shown = told(tmp_path / "book", RECEIVED, words=("show", "TH-004217", "--map"), head=HEAD.replace("staves: 31", "staves: many"))
    assert "how many there are cannot be read" in shown
    shown = told(tmp_path / "book", RECEIVED, EXAMINED, FILLED.replace("malt", "[1]"), words=("show", "TH-004217", "--line"))
    assert "fill 1, ?: 190.0 L" in shown, shown


def test_a_method_that_cannot_be_read_was_written(tmp_path: Path) -> None:
    gauged = "{id: e1000005, date: 2024-01-03, job: regauge, by: ab, litres: 160, abv: 60, temp_c: 14, method: metre}"
    shown = told(tmp_path / "book", RECEIVED, EXAMINED, FILLED, gauged, words=("report", "loss", "TH-004217", "--evidence"))
    assert "method cannot be read: taken as meter" in shown, shown


RACK = "at_20: true, spirit: malt, oak_since: 2020-01-02"
OUT = "{id: e1000006, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004217, litres: 180, abv: 62}], at_20: true, why: into a butt}"
IN = f"{{id: e1000006, date: 2024-01-03, job: rack-in, by: ab, from: [{{cask: TH-004218, litres: 180, abv: 62}}], {RACK}}}"


@pytest.mark.parametrize(("since", "codes"), [("2020-02-31", 0), ("'?'", 0), ("2020-01-02", 0), ("2020-01-01", 1)])
def test_an_age_is_not_held_against_one_that_cannot_be_read(tmp_path: Path, since: str, codes: int) -> None:
    source = (RECEIVED, EXAMINED, FILLED.replace("temp_c: 14", f"temp_c: 14, oak_since: {since}"), OUT)
    shown = told(tmp_path / "book", RECEIVED, EXAMINED.replace("2020-01-02", "2024-01-02"), IN, words=("check", "--format", "json"), others=(source,))
    assert shown.count("rack-age-differs") == codes, shown
