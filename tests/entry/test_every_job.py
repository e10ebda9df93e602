"""Every job of the trade: taken in the right state, refused or warned of in each wrong one, and its effect on the life."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import pytest

from caskbook.life.facts import Facts
from caskbook.model.jobs import JOBS
from entry.shop import CASK, Shop
from entry.states import STATES

ALL_HERE = ("ready", "open", "shook", "filled", "wine")
NOT_GONE = (*ALL_HERE, "away", "missing")
ALWAYS = (*NOT_GONE, "gone")
EMPTY = ("ready", "open", "shook")
# How a message names the state that stands in the way.
NAMED = {
    "ready": r"empty|closed|arrives once|not missing|was here|is in already", "open": r"out\b|closed|arrives once|not missing|was here|empty|holds|open",
    "shook": r"knocked down|arrives once|not missing|was here|empty|is in already", "filled": r"held|holds|closed|arrives once|not missing|was here|gone|empty",
    "wine": r"held|holds|arrives once|not missing|was here|onto", "away": r"away|arrives once|not missing", "missing": r"missing|arrives once", "gone": r"gone|arrives once",
}  # fmt: skip


@dataclass
class Case:
    """A job as typed, the states it is taken in as it stands, and what then holds of the facts. It has to be refused in every other state but
    those of `unsaid`, in which the book itself puts heads out or in before it, and of `warned` (state → words of the warning), in which only the
    house's rules are against it, so that `--anyway` writes it; a state may stand in both."""

    job: str
    words: str
    good: tuple[str, ...]
    effect: Callable[[Facts], bool]
    unsaid: tuple[str, ...] = ()
    warned: dict[str, str] = field(default_factory=dict)


def _state(word: str) -> Callable[[Facts], bool]:
    return lambda facts: facts.state == word


def _same(facts: Facts) -> bool:
    return facts.state is not None


CASES = [
    Case("receive", "accept --type barrel", ("new",), _state("unexamined")),
    Case("raise", "--staves 30", ("shook",), lambda f: f.form == "whole" and f.proved is False and f.staves == 30),
    Case("convert", "--into 1 hogshead --as TH-009001 --gave 20", EMPTY, _state("gone")),
    Case("made-from", "--type hogshead --parents 'old butt 25'", ("new",), lambda f: f.fills == 0 and f.fills_life is None and f.state == "unexamined"),
    Case("examine", "repair --findings 'stave-1 cracked 2 0.3'", ("ready", "open"), lambda f: [one["defect"] for one in f.open_defects or []] == ["cracked"]),
    Case("nose", "fault --faults vinegar", EMPTY, lambda f: f.taint is True and "held" in (f.marks or [])),
    Case("treat", "rinse --for taint", EMPTY, lambda f: f.treatments == 1),
    Case("soak", "cold --hours 24", ("ready",), _same, unsaid=("open",)),
    Case("test", "pass --psi 11 --water 2", ("ready",), lambda f: f.proved is True and f.last_test is not None and f.last_test["psi"] == 11, unsaid=("open",)),
    Case("drive", "--hoops A-1,B-1", ("ready", "filled", "wine"), lambda f: f.proved is (f.state in ("filled", "seasoning")), unsaid=("open",)),
    Case("hoop", "--hoops A-2 --from new", ("ready", "open", "filled", "wine"), lambda f: f.hoops_replaced == 1),
    Case("stave", "replace --staves 1,14 --from new", ("open",), lambda f: f.staves_replaced == {"1": 1, "14": 1} and f.bung_stave_replacements == 1, unsaid=("ready",)),
    Case("head", "replace --head B --from new", ("open",), lambda f: f.heads_replaced == 1, unsaid=("ready",)),
    Case("flag", "--at joint-3,croze-A-14", EMPTY, lambda f: f.flagged == {"croze-A-14": 1, "joint-3": 1}),
    Case("peg", "spile --at stave-9", ("ready", "filled", "wine"), _same, unsaid=("open",)),
    Case("bung", "rebore --bore 50", ("ready", "open", "filled", "wine"), lambda f: f.proved is False),
    Case("open", "--heads A,B", ("ready",), _state("open")),
    Case("close", "--heads A,B", ("open",), lambda f: f.form == "whole" and f.proved is False),
    Case("measure", "--capacity 198", ALL_HERE, lambda f: f.capacity_l == 198),
    Case("knock-down", "--staves 31", ("ready",), _state("shook"), unsaid=("open",)),
    Case("swap-heads", "--with TH-004218 --heads A --why 'found so'", ("open",), _same, unsaid=("ready",)),
    Case("shave", "flail --depth 2 --stave 22", ("open",), lambda f: f.stave_mm == 22, unsaid=("ready",)),
    Case("toast", "medium --minutes 20", ("open",), lambda f: f.fills_since_fire == 0, unsaid=("ready",)),
    Case("char", "--level 3 --seconds 40", ("open",), lambda f: f.fills_since_char == 0 and f.rechar_count == 1, unsaid=("ready",)),
    Case("season", "--wine oloroso --litres 190", ("ready",), lambda f: f.state == "seasoning" and f.wine_held is True and f.fills == 0, warned={"open": "not proved tight"}, unsaid=("open",)),
    Case("sulphur", "--grams 5 --why winter", EMPTY, lambda f: "sulphured" in (f.marks or [])),
    Case("fill", "--spirit malt --litres 190 --abv 63.5 --temp 14", ("ready",), lambda f: f.state == "filled" and f.fills == 1,
         warned={"open": "not proved tight"}, unsaid=("open",)),
    Case("rack-out", "--to TH-004218 --litres 185 --abv 60 --why marry", ("filled", "leaking", "wine"), _state("emptied")),
    Case("rack-in", "", ("ready",), lambda f: f.state == "filled" and f.fills == 1, warned={"open": "not proved tight", "filled": "in a cask of"}, unsaid=("open", "filled")),
    Case("draw", "--litres 20 --abv 60", ("filled", "wine"), _same),
    Case("top", "--litres 5 --abv 60", ("filled", "wine"), lambda f: f.age_years is None),
    Case("regauge", "meter --litres 180 --abv 60 --temp 12", ("filled", "wine"), _same),
    Case("sample", "--ml 100", ("filled", "wine"), _same),
    Case("leak", "drip --at head-A-joint-2", ("filled", "wine"), lambda f: len(f.open_leaks or []) == 1),
    Case("look", "dry --of joint-3", ("leaking",), lambda f: f.open_leaks == []),
    Case("empty", "--litres 180 --abv 60 --temp 12 --why drawn", ("filled", "wine"), _state("emptied")),
    Case("grade", "A", NOT_GONE, _same),
    Case("move", "--berth W1/03/2 --stow bilge", ALL_HERE, lambda f: f.berth == "W1/03/2"),
    Case("send", "--to shop-north --why re-char", ALL_HERE, _state("away")),
    Case("return", "accept --berth Y2", ("away",), lambda f: f.whereabouts == "here" and f.proved is False),
    Case("hold", "--why 'label in doubt'", NOT_GONE, lambda f: "held" in (f.marks or [])),
    Case("release", "--why found --approved-by kd", ("held",), lambda f: f.marks == [], warned={"ready": "not held", "filled": "not held", "away": "not held"}),
    Case("mark", "--text 4217 --kind stencil --on head-A", NOT_GONE, _same),
    Case("decide", "--rule rechar --outcome defer --until +180 --why spring --approved-by kd", NOT_GONE, _same),
    Case("retire", "--reasons 'thin staves; third fail' --approved-by kd", EMPTY, lambda f: "retired" in (f.marks or [])),
    Case("break-up", "--staves-saved 20", ("retired",), _state("gone"), warned={"ready": "neither retired nor rejected", "open": "neither retired"}),
    Case("dispose", "sold --to 'a garden'", NOT_GONE, _state("gone")),
    Case("missing", "", ALL_HERE, _state("missing")),
    Case("found", "--berth Y2", ("missing",), lambda f: f.whereabouts == "here" and f.berth == "Y2"),
    Case("moved", "", (), _same),
    Case("same-as", "--of TH-004218 --why 'one cask'", ALWAYS, lambda f: set(f.joined or []) == {"TH-004218"}),
    Case("correct", "--type hogshead --capacity 250 --staves 33 --why 'misread on the dock'", NOT_GONE, lambda f: (f.type, f.capacity_l, f.staves) == ("hogshead", 250, 31 if f.form == "shook" else 33)),
    Case("note", "--note 'rolled from row 3'", ALWAYS, _same),
    Case("void", "--of e0000001 --why wrong", ALWAYS, _same),
]  # fmt: skip
BY_JOB = {case.job: case for case in CASES}
LEAK_ONLY = {"look": {"filled", "wine"}}
WARNED_ONLY = {"release": set(NOT_GONE), "break-up": {"ready", "open", "shook"}}
OTHER = "TH-004218"
_PASSED = {"job": "test", "result": "pass", "psi": 10, "water_l": 2}


def test_the_table_covers_every_job() -> None:
    assert [case.job for case in CASES if case.job not in JOBS] == []
    assert set(BY_JOB) == set(JOBS)
    assert len(CASES) == len(JOBS) >= 54


def begun(state: str) -> list[dict[str, Any]]:
    """The events of a state; proved, so that what unproves a cask is seen to."""
    arrival, examined, *rest = STATES[state] or [{}, {}]
    return [arrival, examined, {"date": examined["date"], **_PASSED}, *rest]


def arranged(shop: Shop, case: Case, state: str) -> list[str]:
    """The cask in its state, another where the job wants one, and the words to type."""
    events = STATES[state]
    if events is not None:
        shop.put(*begun(state))
    if case.job in ("swap-heads", "same-as", "rack-out"):
        shop.put(*(STATES["open"] if case.job == "swap-heads" else STATES["ready"]) or [], cask=OTHER)
    if case.job == "rack-in":
        shop.put(*STATES["filled"] or [], cask=OTHER)
        return ["rack", OTHER, "--to", CASK, "--litres", "185", "--abv", "60", "--why", "marry"]
    job = "rack" if case.job == "rack-out" else case.job
    said = case.words.replace("--abv 60", "--abv 17") if state == "wine" else case.words
    return [job, CASK, *re.findall(r"'[^']*'|\S+", said)]


def typed(words: list[str]) -> list[str]:
    return [*(word.strip("'") for word in words), "--yes"]


def usual_of_each(cases: list[tuple[str, str]]) -> list[Any]:
    """The cases with one state of each job in the default run, another than for the job before, and the first case of each state; the others thorough."""
    states: dict[str, list[str]] = {}
    for job, state in cases:
        states.setdefault(job, []).append(state)
    usual = {(job, words[n % len(words)]) for n, (job, words) in enumerate(states.items())}
    usual |= {next(case for case in cases if case[1] == state) for state in {state for _, state in cases}}
    return [case if case in usual else pytest.param(*case, marks=pytest.mark.thorough) for case in cases]


GOOD = [(case.job, state) for case in CASES for state in (*case.good, *case.unsaid) if case.job != "moved" and state not in case.warned]


@pytest.mark.parametrize(("job", "state"), usual_of_each(GOOD), ids=lambda value: str(value))
def test_taken_in_the_right_state(shop: Shop, job: str, state: str) -> None:
    case = BY_JOB[job]
    words = arranged(shop, case, state)
    before = shop.facts() if state != "new" and state == case.good[0] and case.effect is not _same else None
    assert before is None or not case.effect(before), "this holds before the job is done: it shows nothing of it"
    ran = shop.enter(*typed(words))
    assert ran.code == 0, ran.err
    assert job in [event["job"] for event in shop.data()["events"]]
    assert not [code for code in shop.codes() if code != "no-arrival"] or state not in case.good
    if job != "void":
        assert case.effect(shop.facts()), shop.facts()
    if state in case.unsaid:
        assert shop.data()["events"][-2]["job"] in ("open", "close")
        assert "written before the" in ran.err


@pytest.mark.thorough
@pytest.mark.parametrize(
    "said", [{"note": "by the door", "photo": "photos/a.jpg", "sheet": "B-17"}, {"replaces": ""}, {"answers": "j3"}], ids=lambda said: "-".join(said)
)
@pytest.mark.parametrize("case", [case for case in CASES if case.job != "moved"], ids=lambda case: case.job)
def test_what_every_job_takes_is_written_or_refused(shop: Shop, case: Case, said: dict[str, str]) -> None:
    """Nothing that was typed is dropped without a word."""
    words = arranged(shop, case, case.good[0])
    path = shop.path()
    before = path.read_bytes() if path.exists() else b""
    there = shop.data()["events"] if before else []
    given = {key: text or (there[-1]["id"] if there else "gqw00001") for key, text in said.items()}
    ran = shop.enter(*typed(words), *(word for key, text in given.items() for word in (f"--{key}", text)))
    if ran.code == 0:
        event = next(event for event in shop.data()["events"] if event["job"] == case.job and event not in there)
        assert all(event.get(key) for key in given) and event.get("replaces") == given.get("replaces"), (ran.err, event)
    else:
        assert (path.read_bytes() if path.exists() else b"") == before and ran.err, ran


BAD = [
    (case.job, state)
    for case in CASES
    for state in (*ALWAYS,)
    if state not in (*case.good, *case.unsaid, *case.warned)
    and state not in WARNED_ONLY.get(case.job, set())
    and state not in LEAK_ONLY.get(case.job, set())
    and case.job != "moved"
]


CONVERTED = re.compile(r"[^=]+ = \S.*")
"""What `enter` says first where a figure was typed in another unit than is kept."""


@pytest.mark.thorough
@pytest.mark.parametrize(("job", "state"), BAD, ids=lambda value: str(value))
def test_refused_in_the_wrong_state(shop: Shop, job: str, state: str) -> None:
    case = BY_JOB[job]
    words = arranged(shop, case, state)
    if job in ("receive", "made-from"):
        words = [word for word in words if word not in ("--type", "barrel", "hogshead")]
    if job == "look":
        words = [job, CASK, "dry"]
    before = shop.path().read_bytes()
    ran = shop.enter(*typed(words))
    assert ran.code == 1, (ran.out, ran.err)
    assert shop.path().read_bytes() == before
    message, remedy = [line for line in ran.err.split("\n") if not CONVERTED.fullmatch(line)][:2]
    assert re.search(NAMED[state], message), message
    assert remedy.startswith("  ") and re.match(r"  (enter|void|correct|name|take|write|leave)", remedy), remedy
    assert "nothing written" in ran.err


WARNED = [(case.job, state) for case in CASES for state in case.warned]


@pytest.mark.parametrize(("job", "state"), WARNED, ids=lambda value: str(value))
def test_warned_of_and_written_anyway(shop: Shop, job: str, state: str) -> None:
    case = BY_JOB[job]
    words = typed(arranged(shop, case, state))
    before = shop.path().read_bytes()
    ran = shop.enter(*words)
    reason = [] if "--why" in words else ["--why", "told to"]
    assert ran.code == 1 and case.warned[state] in ran.err and f"add --anyway{' --why' if reason else ':'}" in ran.err, ran.err
    assert shop.path().read_bytes() == before
    again = shop.enter(*words, "--anyway", *reason)
    assert again.code == 0, again.err
    assert ("told to" if reason else f"why: {words[words.index('--why') + 1]}") in shop.path().read_text() and shop.codes(), "it stays a finding"


def test_moved_is_another_command(shop: Shop) -> None:
    shop.put(*STATES["ready"] or [])
    ran = shop.enter("moved", CASK)
    assert ran.code == 2 and "move-event" in ran.err
