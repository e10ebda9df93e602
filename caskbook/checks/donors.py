"""Where parts came from: donor casks have to be in the book, broken up by then, and not give more than they had."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from caskbook.checks.bundles import Pile, is_taken_down, pile_on, piles
from caskbook.checks.context import Context, Pair, Peer, View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault, Severity
from caskbook.life import live
from caskbook.model.jobs import Event
from caskbook.model.places import place_word, stave_number
from caskbook.words.job_table import jobs_with

_TAKING_IN_TURN = jobs_with("takes-parts")
TAKING = frozenset(_TAKING_IN_TURN)
_TELL_OF_TAINT = frozenset(("nose", "made-from", *_TAKING_IN_TURN))


@dataclass(frozen=True, slots=True)
class Take:
    """So many staves, heads or hoops taken from a donor by an event of `cask`; `field` is where the donor is named."""

    donor: str
    part: str
    count: int
    day: date
    event: str
    cask: str
    row: int


def takes(view: View) -> Iterator[Take]:
    """Every part that this cask took from another."""
    for event, row in _taking(view):
        part = _part(view, event)
        if part is not None and not view.is_spoiled(row, "from", "staves", "head", "hoops"):
            yield Take(str(getattr(event, "from_")), part[0], part[1], event.date, event.id, view.cask.id, row)  # noqa: B009


def _taking(view: View) -> Iterator[Pair]:
    return (pair for job in _TAKING_IN_TURN for pair in view.of(job))


def _part(view: View, event: Any) -> tuple[str, int] | None:
    if event.job not in TAKING or event.from_ in (None, "new", "unknown", "reused"):
        return None
    if event.job == "stave":
        return "staves", _staves_in(view, event) if event.action == "replace" else 0
    if event.job == "head":
        return "heads", 1 if event.action == "replace" else 0
    return "hoops", len(set(map(place_word, event.hoops)))


def _staves_in(view: View, event: Any) -> int:
    """How many came in: two for one, or one for two, where the entry says how many there were then."""
    turned = view.life.state.turned.get(event.id)
    return turned.wood if turned is not None else len(set(map(stave_number, event.staves)))


def donors(view: View) -> Iterable[Fault]:
    """Every part taken from a cask held against that cask."""
    for event, row in _taking(view):
        if _part(view, event) is None or view.is_spoiled(row, "from"):
            continue
        donor = str(getattr(event, "from_"))  # noqa: B009
        peer = view.context.whole(donor)
        if peer is None:
            yield _unknown_donor(event, row, donor)
        elif peer.cask is not None and not _taken_down(peer, event) and not view.is_spoiled(row, "date"):
            yield _standing_donor(event, row, donor)
        elif peer.cask is not None and not view.is_spoiled(row, "date"):
            yield from _tainted_donor(view, event, row, peer)


def _unknown_donor(event: Event, row: int, donor: str) -> Fault:
    """donor-unknown: a part from a cask that is not in the book.

    Why: what the donor held before goes into this cask with its wood; without the donor nobody can look it up.
    Wrong:
        # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
        - {id: e1000001, date: 2020-01-04, job: stave, by: ab, staves: [4], action: replace,
           from: TH-001187}
    Right:
        # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
        - {id: e1000001, date: 2020-01-04, job: stave, by: ab, staves: [4], action: replace,
           from: unknown}
    """
    return fault(row, "donor-unknown", f"`from` is {donor}: no cask of the book", "correct the number, or write `from: unknown`", "from", of=event)


def _standing_donor(event: Event, row: int, donor: str) -> Fault:
    """donor-not-broken-up: a part from a cask that stood in stock on that day.

    Why: a stave cannot be in two casks; the donor's number is misread, or its breaking up was never entered.
    Wrong:
        # TH-001187
        - {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
        - {id: e1000001, date: 2020-01-04, job: stave, by: ab, staves: [4], action: replace,
           from: TH-001187}
    Right:
        # TH-001187
        - {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
        - {id: e1000002, date: 2019-01-02, job: break-up, by: ab, staves_saved: 20}
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
        - {id: e1000001, date: 2020-01-04, job: stave, by: ab, staves: [4], action: replace,
           from: TH-001187}
    """
    text = f"`from` is {donor}: it was not broken up on {event.date}"
    return fault(row, "donor-not-broken-up", text, f"correct the number, or enter the breaking up of {donor}", "from", of=event)


def _tainted_donor(view: View, event: Event, row: int, peer: Peer) -> Iterator[Fault]:
    """part-from-tainted-cask: a stave or a head from a cask whose nose was at fault, or that has wood of such a one.

    Why: the taint goes with the wood; the entry says it, and the cask wants a clean nose before the next fill.
    Wrong:
        # TH-001187
        - {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
        - {id: e1000002, date: 2019-01-02, job: nose, by: ab, verdict: fault, faults: [musty]}
        - {id: e1000003, date: 2019-01-03, job: break-up, by: ab, staves_saved: 20}
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
        - {id: e1000001, date: 2020-01-04, job: stave, by: ab, staves: [4], action: replace,
           from: TH-001187, from_tainted: musty since 2019-01-02}
    Right:
        # TH-001187
        - {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
        - {id: e1000003, date: 2019-01-03, job: break-up, by: ab, staves_saved: 20}
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
        - {id: e1000001, date: 2020-01-04, job: stave, by: ab, staves: [4], action: replace,
           from: TH-001187}
    """
    told = getattr(event, "from_tainted", "")  # A hoop has none: iron carries no taint.
    if told == "" or event.source == "register" or not any(e.job in _TELL_OF_TAINT for e in peer.standing):
        return
    assert peer.cask is not None
    st = live(peer.cask, view.context.house, event.date, peer.others).state
    taint = st.taint_of_wood
    if taint is not None:
        what = "its nose was at fault" if "tainted" in st.marks else "it has tainted wood"
        text = f"`from` is {event.from_}: {what}, since {taint[0]}"  # type: ignore[attr-defined]
        remedy = "nose it before the next fill; correct the number if another donor was meant"
        yield fault(row, "part-from-tainted-cask", text + ("" if told else "; not told here"), remedy, "from", of=event)


def _taken_down(peer: Peer, event: Event) -> bool:
    return is_taken_down(peer, event.date)


Piled = tuple[str, str, int]
"""The donor's number that goes on, staves, heads or hoops, and which of its piles (`piles`)."""


def overdrawn(taken: Iterable[Take], context: Context) -> Iterator[tuple[str, Fault]]:
    """(the cask that took, the fault) for each donor of which more was taken, over the whole book, than was there for others."""
    for key, some in sorted(piles_of(taken, context).items()):
        pile = pile_of(key, context)
        if pile.count is not None and sum(take.count for take in some) > pile.count:
            yield _short(some, pile)


def piles_of(taken: Iterable[Take], context: Context) -> dict[Piled, list[Take]]:
    """Pile of a donor → what was taken of it."""
    found: dict[Piled, list[Take]] = {}
    for take in taken:
        donor = context.numbers(take.donor)[0]
        found.setdefault((donor, take.part, pile_on(piles(context.whole(donor), take.part), take.day)), []).append(take)
    return found


def pile_of(key: Piled, context: Context) -> Pile:
    """What there is of a pile; of one that is none (any more), nothing is known."""
    donor, part, n = key
    found = piles(context.whole(donor), part)
    return found[n] if n < len(found) else Pile(date.min, None)


def _short(taken: list[Take], pile: Pile) -> tuple[str, Fault]:
    """donor-out-of-staves: more staves taken from a donor, over the whole book, than were saved of it.

    Why: some of them came from elsewhere, and their past is unknown; or the count at the breaking up is wrong.
    Wrong:
        # TH-001187
        - {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
        - {id: e1000002, date: 2019-01-02, job: break-up, by: ab, staves_saved: 1}
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
        - {id: e1000001, date: 2020-01-04, job: stave, by: ab, staves: [4, 5], action: replace,
           from: TH-001187}
    Right:
        # TH-001187
        - {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
        - {id: e1000002, date: 2019-01-02, job: break-up, by: ab, staves_saved: 2}
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
        - {id: e1000001, date: 2020-01-04, job: stave, by: ab, staves: [4, 5], action: replace,
           from: TH-001187}
    """
    so_far = 0
    short = taken[0]
    for short in sorted(taken, key=lambda one: (one.day, one.event, one.cask)):
        so_far += short.count
        if so_far > (pile.count or 0):
            break
    return short.cask, out_of(short, sum(take.count for take in taken), pile)


def out_of(take: Take, total: int, pile: Pile) -> Fault:
    """The fault of a take of a donor from whose pile `total` parts were taken, more than there were."""
    there = f"{pile.count} to spare of its bundle, from {pile.start} on" if pile.bundle else f"{pile.count} saved"
    text = f"`from` is {take.donor}: {total} {take.part} taken of it in all, but {there}"
    code = _OUT_OF[take.part]
    found = fault(take.row, code, text, f"correct the number, or the count of {take.donor}", "from")
    return replace(found, severity=CODES[code])


# Of `overdrawn`, which looks at all files. Heads and hoops are explained in docs/ledger.py.
CODES: dict[str, Severity] = {"donor-out-of-staves": "error", "donor-out-of-heads": "error", "donor-out-of-hoops": "error"}
_OUT_OF = {"staves": "donor-out-of-staves", "heads": "donor-out-of-heads", "hoops": "donor-out-of-hoops"}


def given(view: View) -> Iterable[Fault]:
    """more-parts-than-it-had: a cask that was taken down gave more staves or hoops than it had.

    Why: the figure is misread, or the cask was never counted right; other casks take by it what was not there.
    Wrong:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: retire, by: ab, reasons: [worn], approved_by: kd}
        - {id: e1000002, date: 2020-01-03, job: break-up, by: ab, staves_saved: 99}
    Right:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: retire, by: ab, reasons: [worn], approved_by: kd}
        - {id: e1000002, date: 2020-01-03, job: break-up, by: ab, staves_saved: 29}
    """
    frame = view.life.state.frame
    had = {"staves": frame.staves, "staves_saved": frame.staves, "hoops_saved": frame.hoops}
    for job in ("convert", "break-up"):
        for event, row in view.of(job):
            for field, most in had.items():
                count = getattr(event, field, None)
                if count is not None and most is not None and count > most and not view.is_spoiled(row, field):
                    yield fault(
                        row, "more-parts-than-it-had", f"`{field}` is {count}: the cask had {most}", "correct the figure, or count the cask", field, of=event
                    )


RULES = (
    Rule(donors, {"donor-unknown": "warning", "donor-not-broken-up": "error", "part-from-tainted-cask": "warning"}, on=_TAKING_IN_TURN),
    Rule(given, {"more-parts-than-it-had": "warning"}, on=("convert", "break-up")),
)
