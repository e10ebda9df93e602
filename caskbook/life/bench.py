"""What bench and fire jobs do to the cask: each function changes only what its job names."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from caskbook.life.carried import Defect, Tested, found_once
from caskbook.life.state import UNKNOWN, State
from caskbook.life.staves_turned import turned
from caskbook.model.jobs import bench as b
from caskbook.model.jobs import fire as f
from caskbook.model.jobs import repair as r
from caskbook.model.jobs.base import Event, listed
from caskbook.model.places import place_word, stave_number
from caskbook.words import is_wine


def examine(st: State, ev: b.Examine) -> None:
    """It restates everything that is open."""
    st.exam, st.exam_seq, st.answer_seq = ev, st.seq, 0
    st.examined_since_empty = True
    st.defects = found_once(Defect(x.at, x.defect, x.severity, ev.id, st.seq, n) for n, x in enumerate(ev.findings or []))
    if ev.stave_mm is not None:
        st.stave_mm = ev.stave_mm
    if ev.soaked is not None:
        st.soaked = ev.soaked
    if ev.verdict in ("hold", "reject"):
        st.mark("held" if ev.verdict == "hold" else "rejected", ev, st.reason(ev, "examined"))


def nose(st: State, ev: b.Nose) -> None:
    """Clean lifts taint and sulphur; a fault taints and holds."""
    if ev.verdict == "clean":
        st.clean_nose = True
        st.treatments = st.taint_treatments = 0
        st.tainted_parts = []
        st.marks.pop("tainted", None)
        st.marks.pop("sulphured", None)
    elif ev.verdict == "fault":
        why = ", ".join(ev.faults or []) or "nose at fault"
        st.mark("tainted", ev, why)
        st.mark("held", ev, why)


def treat(st: State, ev: b.Treat) -> None:
    """A treatment counts until a clean nose."""
    st.treatments += 1
    st.taint_treatments += ev.against == "taint"


def test(st: State, ev: b.Test) -> None:
    """A pass proves, a fail unproves; leaked, cured and tight in one go is one fail, then one pass."""
    if ev.result == "fail" or ev.cured_by:
        st.loosen()
        if st.in_visit:
            st.visit_fails += 1
            st.visits[-1] += 1
    outcome = Tested(ev.date, ev.result, ev.psi, st.seq, ev.id)
    st.last_test = outcome
    if ev.result is None or ev.lost & {"psi", "method"}:
        st.proved = False  # Nobody can read the result, or of what.
    elif ev.result == "pass":
        st.proved, st.last_pass, st.loosened = True, outcome, []


def drive(st: State, ev: r.Drive) -> None:
    """It unproves an empty cask, if the house says so."""
    if not st.filled and st.house.on(ev.date, st.type).drive_unproves:
        st.unprove()
    if not ev.hoops and "hoops" not in ev.lost:
        st.answer_hoops()
    close_leak(st, ev.closes)


def hoop(st: State, ev: r.Hoop) -> None:
    """New hoops: on a full cask they count as structural once it is emptied."""
    st.hoops_replaced += len({place_word(name) for name in ev.hoops})
    if ev.from_ not in (None, "new", "reused"):
        st.donors.add(ev.from_)
    if ev.hoops_after is not None:
        st.frame = _framed(st, hoops=ev.hoops_after)
    if st.filled:
        st.hoop_pending = True
    else:
        st.unprove()
    close_leak(st, ev.closes)


def stave(st: State, ev: r.Stave) -> None:
    """Counts by position; the second of two that replaced one counts at the first's number. Numbers stay, however many staves there are then."""
    st.unprove()
    if ev.action == "replace":
        for number, _ in dict.fromkeys(map(stave_number, ev.staves)):
            st.staves_replaced[str(number)] = st.staves_replaced.get(str(number), 0) + 1
            st.replaced_on.append((ev.date, number, st.first_staves.stood))
            st.bung_stave_replacements += number == st.frame.bung_stave
            st.first_staves = st.first_staves.replaced(number)
        _from(st, ev.from_)
        st.turned[ev.id] = now = turned(ev.staves, st.seconds, st.frame.staves, ev.staves_after)
        st.seconds, st.broad = now.seconds, frozenset(pair for pair in st.broad if pair[1] not in now.out) | now.broad
    _tainted(st, ev)
    if ev.staves_after is not None:
        had, merged = st.frame.staves, max(st.frame.merged, 0)
        if ev.action == "replace" and had is not None:
            merged = st.frame.merged + had - ev.staves_after
        st.frame = _framed(st, staves=ev.staves_after, merged=merged)


def head(st: State, ev: r.Head) -> None:
    """A whole head replaced counts; a piece does not, and the numbers of the others stay."""
    st.unprove()
    st.heads_replaced += ev.action == "replace"
    _from(st, ev.from_)
    _tainted(st, ev)
    if ev.pieces_after is not None:
        at = ev.head == "B"
        pieces, merged, had = list(st.frame.pieces), list(st.frame.pieces_merged), st.frame.pieces[at]
        pieces[at] = ev.pieces_after
        merged[at] = 0 if ev.action == "replace" else max(merged[at] + (had - ev.pieces_after if had is not None else 0), 0)
        st.frame = _framed(st, pieces=tuple(pieces), pieces_merged=tuple(merged))


def flag(st: State, ev: r.Flag) -> None:
    """Rush, by joint."""
    st.unprove()
    for place in dict.fromkeys(map(place_word, ev.at)):
        st.flagged[place] = st.flagged.get(place, 0) + 1


def peg(st: State, ev: r.Peg) -> None:
    """In a full cask it closes the leak at its place and leaves a defect for emptying."""
    close_leak(st, ev.closes)
    st.leaks = [leak for leak in st.leaks if leak.at != ev.at]
    if st.filled:
        st.defects.append(Defect(ev.at or UNKNOWN, "peg", None, ev.id, st.seq))
    else:
        st.unprove()


def bung(st: State, ev: r.Bung) -> None:
    """Rebored, bushed or moved unproves at once, a full cask too."""
    if ev.action == "replace":
        return
    st.unprove()
    if ev.to is not None:
        st.frame = _framed(st, bung_stave=stave_number(ev.to)[0])


def open_heads(st: State, ev: r.Open) -> None:
    """Heads out."""
    st.unprove()
    st.open_heads |= set(ev.heads)
    st.form = _formed(st, "open")


def close_heads(st: State, ev: r.Close) -> None:
    """Open until every opened head is in again."""
    st.unprove()
    st.open_heads -= set(ev.heads)
    if not st.open_heads and not ev.lost & {"heads"}:
        st.form = _formed(st, "whole")


def shave(st: State, ev: f.Shave) -> None:
    """Thinner staves."""
    st.unprove()
    if ev.stave_mm is not None:
        st.stave_mm = ev.stave_mm


def toast(st: State, ev: f.Toast) -> None:
    """A fire."""
    st.unprove()
    st.last_fire, st.fills_since_fire = ev.date, 0
    st.fires += 1


def char(st: State, ev: f.Char) -> None:
    """A fire and a char; a re-char where the cask has held spirit or wine, here or before."""
    st.unprove()
    st.last_char = st.last_fire = ev.date
    st.last_char_level = None if ev.level is None else str(ev.level)
    st.fires += 1
    st.chars += 1
    st.fills_since_char = st.fills_since_fire = 0
    st.wood_days_since_char = 0
    for filling in st.fillings:
        filling.since_char = False
    if st.had_liquor:
        st.rechars = None if st.rechars is None else st.rechars + 1
        st.sure_rechars, st.last_rechar = st.sure_rechars + 1, ev.date
    elif st.had_liquor is None:
        st.rechars = None


def sulphur(st: State, ev: f.Sulphur) -> None:
    """Awaiting a clean nose."""
    st.mark("sulphured", ev, ev.why)


def measure(st: State, ev: b.Measure) -> None:
    """Counts and sizes as found."""
    st.capacity_l = ev.capacity_l if ev.capacity_l is not None or "capacity_l" in ev.lost else st.capacity_l
    st.tare_kg = ev.tare_kg if ev.tare_kg is not None else st.tare_kg
    st.stave_mm = ev.stave_mm if ev.stave_mm is not None else st.stave_mm
    if ev.staves is not None:
        count_staves(st, ev.staves)
    pieces = (ev.heads[0], ev.heads[1]) if ev.heads else st.frame.pieces
    merged = max(st.frame.merged, 0) if ev.staves else st.frame.merged  # Who counts more staves than were numbered has numbered them.
    st.frame = _framed(st, staves=ev.staves or st.frame.staves, hoops=ev.hoops or st.frame.hoops, pieces=pieces, merged=merged)


def count_staves(st: State, count: int) -> None:
    """Counted without any work; a bundle of fewer than the book has lost some."""
    first, had = st.first_staves, st.frame.staves
    if not first.taken_down:
        st.staves_first = st.staves_first or count
    st.tell_first(first.knocked_down(count, had) if st.form == "shook" and first.taken_down else first.counted(count, had), count)


def knock_down(st: State, ev: r.KnockDown) -> None:
    """A bundle of staves, of so many if they were counted."""
    had, first = st.frame.staves, st.first_staves
    if ev.staves is not None:
        st.staves_first = st.staves_first if first.taken_down else st.staves_first or ev.staves
        st.frame = _framed(st, staves=ev.staves, merged=st.frame.merged if ev.staves == had else 0)
    st.tell_first(first.knocked_down(ev.staves, had), ev.staves)
    st.form = _formed(st, "shook")
    st.open_heads, st.seconds, st.broad = set(), frozenset(), frozenset()


def nothing(st: State, ev: Event) -> None:
    """A job that changes no figure of the life."""


def close_leak(st: State, event: str | None) -> None:
    """The leak named was stopped."""
    if event is not None:
        st.leaks = [leak for leak in st.leaks if not st.means(event, leak)]


def _from(st: State, source: str | None) -> None:
    if source not in (None, "new", "unknown"):
        st.donors.add(source)


def _tainted(st: State, ev: r.Stave | r.Head) -> None:
    """Wood of a tainted cask came in: the nose before it says nothing any more."""
    if ev.from_tainted or "from_tainted" in ev.lost:
        st.tainted_parts.append((ev.date, f"{listed(ev.places())} from {ev.from_ or UNKNOWN}, tainted there ({ev.from_tainted or UNKNOWN})"))
        st.clean_nose = False


def _formed(st: State, form: str) -> str:
    return "gone" if st.form == "gone" else form


def _framed(st: State, **changed: Any) -> Any:
    return replace(st.frame, **changed)


def wine_in(st: State, word: str) -> bool:
    """Whether the word names a wine, the house's own words included."""
    return is_wine(word, st.settings.wine_words)


BENCH_EFFECTS: dict[str, Callable[[State, Any], None]] = {
    "examine": examine, "nose": nose, "treat": treat, "soak": nothing, "test": test, "drive": drive, "hoop": hoop,
    "stave": stave, "head": head, "flag": flag, "peg": peg, "bung": bung, "open": open_heads, "close": close_heads,
    "shave": shave, "toast": toast, "char": char, "sulphur": sulphur, "measure": measure, "knock-down": knock_down,
    "swap-heads": nothing,
}  # fmt: skip
