"""What arrival, filling, emptying, moving and deciding do to the cask."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from caskbook.life.arrivals import liquor_received
from caskbook.life.bench import nothing, wine_in
from caskbook.life.carried import Defect, OpenLeak, Seasoning, found_once, oak_since_of
from caskbook.life.past import WOOD_MARKS, inherited_past
from caskbook.life.state import UNKNOWN, State
from caskbook.model.jobs import arrival as a
from caskbook.model.jobs import custody as c
from caskbook.model.jobs import spirit as s
from caskbook.model.jobs.base import Event


def receive(st: State, ev: a.Receive) -> None:
    """Here, unexamined; held or rejected if said; a full one counts as fill 1."""
    st.where, st.form = "here", ev.form or "whole"
    st.open_heads = {"A", "B"} if st.form == "open" else set()
    _berthed(st, ev.berth, ev.stow)
    st.begin_visit()
    st.in_visit = not st.filled  # It may lie full, and have arrived before, under a number now joined to this one.
    st.clean_nose = False
    _verdict(st, ev, ev.verdict)
    st.defects += found_once(Defect(x.at, x.defect, x.severity, ev.id, st.seq, n) for n, x in enumerate(ev.findings or []))
    kind, word = liquor_received(ev, st)
    wine = kind == "wine"
    st.wine_held = wine or st.wine_held
    if ev.full and st.filled and st.contents == kind:
        st.hold_liquor(st.contents, word)  # Filled under a number now joined to this one: the receipt did not find it empty.
    elif ev.full:
        st.start_filling(ev, word, ev.litres, ev.abv, wine=wine)
        st.oak_since = oak_since_of(ev)


def raise_up(st: State, ev: a.Raise) -> None:
    """Whole; a new visit, and it calls for a pass."""
    if ev.staves is not None:
        first, had = st.first_staves, st.frame.staves
        if not first.taken_down:
            st.staves_first = ev.staves if st.form == "shook" else st.staves_first or ev.staves
        st.tell_first(first.raised(ev.staves, had) if st.form == "shook" else first.counted(ev.staves, had), ev.staves)
        st.frame = replace(st.frame, staves=ev.staves, merged=0)
    st.form, st.open_heads = "whole", set()
    _built(st, ev)


def made_from(st: State, ev: a.MadeFrom) -> None:
    """Whole, unexamined, unproved, with its parents' figures; what a nose found in their wood goes with it."""
    st.form, st.open_heads = "whole", set()
    st.past = inherited_past(ev.inherited)
    st.rechars = st.past.rechar_count
    st.wine_held = st.wine_held or st.past.wine
    for mark in WOOD_MARKS:
        bore = getattr(ev.inherited, mark, None) or ()
        if bore:
            st.mark(mark, ev, "; ".join(f"{one.why or UNKNOWN} in {one.cask} since {one.since}" for one in bore))
    wood = getattr(ev.inherited, "tainted_wood", None) or ()
    st.tainted_parts += [(ev.date, f"{one.why or UNKNOWN}, in {one.cask} since {one.since}") for one in wood]
    st.donors |= {share.cask for share in ev.parents if share.cask}
    _built(st, ev)


def _built(st: State, ev: Event) -> None:
    st.begin_visit()
    st.unprove()


def convert(st: State, ev: a.Convert) -> None:
    """Gone, into its children."""
    st.proved = False
    leave(st, ev)


def leave(st: State, ev: Event) -> None:
    """Out of stock: contents, marks and open lists stay as they were."""
    st.end_filling(ev)
    st.end_seasoning(ev)
    st.form, st.berth = "gone", None


def season(st: State, ev: s.Season) -> None:
    """Wine-held for life; no fill."""
    st.wine_held = True
    st.end_seasoning(ev)
    st.seasonings.append(Seasoning(ev.id, ev.wine or "?", ev.date, ev.until))
    st.hold_liquor("wine", ev.wine)


def fill(st: State, ev: s.Fill) -> None:
    """A fill; the spirit's age runs from oak_since, else from this day."""
    st.start_filling(ev, ev.spirit, ev.litres, ev.abv)
    st.fillings[-1].vat = ev.vat
    st.oak_since = ev.date if ev.oak_since is None and "oak_since" not in ev.lost else oak_since_of(ev)
    _berthed(st, ev.berth, ev.stow)


def rack_in(st: State, ev: s.RackIn) -> None:
    """A fill only where it found the cask empty, and of wine none of spirit; of a mixture the youngest."""
    wine = ev.spirit is not None and wine_in(st, ev.spirit)
    st.wine_held = True if wine else st.wine_held
    since = oak_since_of(ev)
    if st.filled:
        st.oak_since = max(st.oak_since, since) if st.oak_since and since else None
    else:
        parts = [(part.litres, part.abv) for part in ev.from_]
        alcohol = None if any(abv is None for _, abv in parts) else sum(litres * (abv or 0) for litres, abv in parts)
        abv = alcohol / ev.litres if alcohol is not None and ev.litres else None
        st.start_filling(ev, ev.spirit, ev.litres if ev.from_ else None, abv, wine=wine)
        st.oak_since = since
    _berthed(st, ev.berth, ev.stow)


def rack_out(st: State, ev: s.RackOut) -> None:
    """With nothing left it empties the cask; open leaks stay as defects."""
    if ev.empties and "left_l" not in ev.lost:
        st.become_empty(ev)


def top(st: State, ev: s.Top) -> None:
    """The youngest counts; without its oak_since the age is unknown."""
    since = oak_since_of(ev)
    st.oak_since = max(st.oak_since, since) if st.oak_since and since else None


def leak(st: State, ev: s.Leak) -> None:
    """An open leak."""
    st.leaks.append(OpenLeak(ev.at or UNKNOWN, ev.severity or UNKNOWN, ev.date, ev.id, st.seq, ev.look_again, "look_again" in ev.lost))


def look(st: State, ev: s.Look) -> None:
    """Dry closes, wet keeps; with neither place nor leak it means every open leak."""
    seen = st.leaks_seen(ev.of, ev.at)
    if ev.lost & {"seen", "of", "at"}:
        return
    if ev.seen == "dry":
        st.leaks = [x for x in st.leaks if x not in seen]
        return
    for one in seen:
        one.severity, one.looked, one.look_again, one.no_day = ev.seen, ev.date, None, False


def empty(st: State, ev: s.Empty) -> None:
    """Emptied: unexamined."""
    st.become_empty(ev)


def move(st: State, ev: c.Move) -> None:
    """Another berth."""
    _berthed(st, ev.berth, ev.stow)


def send(st: State, ev: c.Send) -> None:
    """Away."""
    st.where, st.berth = "away", None


def come_back(st: State, ev: c.Return) -> None:
    """Here, unexamined, unproved; its verdict marks as a receipt's does."""
    st.where = "here"
    st.begin_visit()
    st.in_visit = not st.filled
    if st.filled:  # Full it stands for no test: its visit begins when it is emptied.
        st.visits = st.visits[:-1] or [0]
    st.unprove()
    _berthed(st, ev.berth, ev.stow)
    _verdict(st, ev, ev.verdict)


def hold(st: State, ev: c.Hold) -> None:
    """Held until released."""
    st.mark("held", ev, ev.why)


def release(st: State, ev: c.Release) -> None:
    """Hold and rejection end."""
    st.marks.pop("held", None)
    st.marks.pop("rejected", None)


def mark(st: State, ev: c.Mark) -> None:
    """Old marks stay searchable."""
    st.old_marks += [text for text in (ev.old, ev.text) if text]


def retire(st: State, ev: c.Retire) -> None:
    """Retired; ends by void only."""
    st.mark("retired", ev, ", ".join(ev.reasons))


def missing(st: State, ev: c.Missing) -> None:
    """Not where the book says."""
    st.where = "missing"


def found(st: State, ev: c.Found) -> None:
    """Here again."""
    st.where = "here"
    _berthed(st, ev.berth, ev.stow)


def _berthed(st: State, berth: str | None, stow: str | None) -> None:
    st.berth = berth if berth is not None else st.berth
    st.stow = stow if stow is not None else st.stow


def _verdict(st: State, ev: a.Receive | c.Return, verdict: str) -> None:
    if verdict not in (None, "accept"):
        st.mark("held" if verdict == "hold" else "rejected", ev, st.reason(ev, f"at {ev.job}"))


CUSTODY_EFFECTS: dict[str, Callable[[State, Any], None]] = {
    "receive": receive, "raise": raise_up, "convert": convert, "made-from": made_from, "season": season, "fill": fill,
    "rack-out": rack_out, "rack-in": rack_in, "draw": nothing, "top": top, "regauge": nothing, "sample": nothing, "leak": leak,
    "look": look, "empty": empty, "grade": nothing, "move": move, "send": send, "return": come_back, "hold": hold,
    "release": release, "mark": mark, "decide": nothing, "retire": retire, "dispose": leave, "break-up": leave, "missing": missing, "found": found,
    "moved": nothing, "same-as": nothing, "correct": nothing, "note": nothing, "void": nothing,
}  # fmt: skip
