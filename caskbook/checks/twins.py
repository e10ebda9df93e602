"""Entries that live in two files: moved ones, swapped heads, two numbers of one cask, and a cask sent instead of another."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace

from caskbook.checks.context import Peer, View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault, Severity
from caskbook.model.bonds import content_sign
from caskbook.model.halves import other_half
from caskbook.model.invalid import shown
from caskbook.model.jobs import Event
from caskbook.model.jobs.repair import SwapHeads
from caskbook.model.joins import NOBODY, Claimants, leads_to


def moved(view: View) -> Iterable[Fault]:
    """moved-without-its-copy: an entry was taken out here as another cask's, and that cask's file does not hold it.

    Why: the job was done; with the entry out here and not in there, or there as something else, it is lost.
    Wrong:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000002, date: 2020-01-02, job: moved, by: ab, of: e1000001, to: TH-004218, why: misread}
        # TH-004218
        # received 2020-01-01
    Right:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000002, date: 2020-01-02, job: moved, by: ab, of: e1000001, to: TH-004218, why: misread}
        # TH-004218
        # received 2020-01-01
        - {id: e1000003, date: 2020-01-02, job: measure, by: ab, stave_mm: 24,
           moved_from: TH-004217/e1000001}
    """
    for event, row in view.of("moved"):
        if not view.is_spoiled(row, "to", "of"):
            other, copy = event.to, f"{view.cask.id}/{event.of}"  # type: ignore[attr-defined]
            peer = view.context.peer(other)
            if peer is None or (peer.cask is not None and not any(e.moved_from == copy and _alike(view, event.of, e) for e in peer.cask.events)):  # type: ignore[attr-defined]
                yield fault(
                    row,
                    "moved-without-its-copy",
                    f"`to` is {other}: no entry there is moved from here and says the same",
                    "enter the job there with `moved_from`, as it stands here, or void this",
                    "to",
                    of=event,
                )


def _alike(view: View, of: str, copy: Event) -> bool:
    """Whether a copy says what the entry here said that was moved; one that is not here is told by another rule."""
    origin = next((event for event in view.cask.events if event.id == of), None)
    return origin is None or content_sign(origin) == content_sign(copy)


def copied(view: View) -> Iterable[Fault]:
    """copy-without-its-original: an entry says that it was first written on another cask, where nothing is taken out.

    Why: the job then stands in two files and is counted twice.
    Wrong:
        # TH-004217
        # received 2020-01-01
        # TH-004218
        # received 2020-01-01
        - {id: e1000003, date: 2020-01-02, job: measure, by: ab, stave_mm: 24,
           moved_from: TH-004217/e1000001}
    Right:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000002, date: 2020-01-02, job: moved, by: ab, of: e1000001, to: TH-004218, why: misread}
        # TH-004218
        # received 2020-01-01
        - {id: e1000003, date: 2020-01-02, job: measure, by: ab, stave_mm: 24,
           moved_from: TH-004217/e1000001}
    """
    for event, row in view.standing:
        if event.moved_from is not None and not view.is_spoiled(row, "moved_from"):
            cask, _, origin = event.moved_from.partition("/")
            peer = view.context.peer(cask)
            if peer is None or (peer.cask is not None and not _gave(peer, origin, event)):
                yield fault(
                    row,
                    "copy-without-its-original",
                    f"`moved_from` is {shown(event.moved_from)}: not taken out there",
                    "take it out there with `moved`, or void this",
                    "moved_from",
                    of=event,
                )


def _gave(peer: Peer, origin: str, copy: Event) -> bool:
    """Whether the other file took out an entry that said what this copy says."""
    if all(one.job != "moved" or one.of != origin for one in peer.standing):  # type: ignore[attr-defined]
        return False
    was = next((one for one in peer.cask.events if one.id == origin), None) if peer.cask is not None else None
    return was is None or content_sign(was) == content_sign(copy)


def swapped(view: View) -> Iterable[Fault]:
    """swap-without-its-pair: heads swapped with a cask whose file does not tell of it.

    Why: both casks bear the other's head; the second file leads a reader astray.
    Wrong:
        # TH-004217
        # received 2020-01-01, opened 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: swap-heads, by: ab, with: TH-004218, heads: [A],
           why: heads mixed up on the bench}
        # TH-004218
        # received 2020-01-01, opened 2020-01-02
    Right:
        # TH-004217
        # received 2020-01-01, opened 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: swap-heads, by: ab, with: TH-004218, heads: [A],
           why: heads mixed up on the bench}
        # TH-004218
        # received 2020-01-01, opened 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: swap-heads, by: ab, with: TH-004217, heads: [A],
           why: heads mixed up on the bench}
    """
    for event, row in view.of("swap-heads"):
        if not view.is_spoiled(row, "with"):
            other = event.with_  # type: ignore[attr-defined]
            peer, own = view.context.whole(other), view.context.numbers(view.cask.id)
            mine = _swaps(view.work(), view.context.numbers(other))
            half = other_half(event, mine, _swaps(peer.standing, own), lambda heads, others: heads == others) if peer else None
            if peer is None or (peer.cask is not None and half is None):
                what = "its file does not tell of the swap" if peer else "no cask of the book"
                yield fault(row, "swap-without-its-pair", f"`with` is {other}: {what}", "enter the swap there too, or void this entry", "with", of=event)


def _swaps(events: Iterable[Event], casks: Collection[str]) -> list[tuple[Event, tuple[str, ...]]]:
    """(swap with one of these casks, its heads)."""
    return [(one, tuple(one.heads or ())) for one in events if isinstance(one, SwapHeads) and one.with_ in casks]


def same(view: View) -> Iterable[Fault]:
    """same-as-unknown: two numbers are said to be one cask, and the other number is not in the book.

    Why: there is nothing to join; the number is misread.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: TH-009999, why: two stencils}
    Right:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: TH-009999, why: two stencils}
        # TH-009999
        # received 2019-01-01

    instead-of-unknown: a cask was sent to make good for one that is not in the book.

    Why: the claim it settles cannot be found.
    Wrong:
        - {id: e1000001, date: 2020-01-02, job: receive, by: ab, verdict: accept, instead_of: TH-009999}
    Right:
        # TH-004217
        - {id: e1000001, date: 2020-01-02, job: receive, by: ab, verdict: accept, instead_of: TH-009999}
        # TH-009999
        - {id: e1000001, date: 2019-01-02, job: receive, by: ab, verdict: reject}
    """
    for event, row in view.of("same-as"):
        if not view.is_spoiled(row, "of") and view.context.peer(event.of) is None:  # type: ignore[attr-defined]
            yield fault(row, "same-as-unknown", f"`of` is {event.of}: no cask of the book", "correct the number, or void this entry", "of", of=event)  # type: ignore[attr-defined]
    for event, row in view.of("receive"):
        if event.instead_of is not None and view.context.peer(event.instead_of) is None:  # type: ignore[attr-defined]
            yield fault(row, "instead-of-unknown", f"`instead_of` is {event.instead_of}: no cask of the book", "correct the number", "instead_of", of=event)  # type: ignore[attr-defined]


def ring(view: View) -> Iterable[Fault]:
    """joined-with-itself: a number is said to be the same cask as itself.

    Why: nothing is joined; another number was meant.
    Wrong:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: TH-004217, why: two stencils}
    Right:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: TH-009999, why: two stencils}
        # TH-009999
        # received 2019-01-01

    joined-in-a-ring: two or more files each say that another of them goes on in them, round and round.

    Why: none would go on; all of them are read as casks of their own until one entry is voided.
    Wrong:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: TH-009999, why: two stencils}
        # TH-009999
        # received 2019-01-01
        - {id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: TH-004217, why: two stencils}
    Right:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: TH-009999, why: two stencils}
        # TH-009999
        # received 2019-01-01
    """
    own = view.cask.id
    for event, row in view.of("same-as"):
        of = event.of  # type: ignore[attr-defined]
        if of == own:
            message = f"`of` is {of}: expected another number than its own"
            yield fault(row, "joined-with-itself", message, "correct the number, or void this entry", "of", of=event)
        elif leads_to(of, own, _Claims(view)):  # It is told in each file of the ring, for none of them goes on, whichever is looked at.
            yield fault(row, "joined-in-a-ring", f"`of` is {of}: that number goes back to {own}", "void this entry, or the one there", "of", of=event)


class _Claims(dict[str, list[str]]):
    """What each file says it is the same cask as; a file is read when it is asked for."""

    def __init__(self, view: View) -> None:
        super().__init__()
        self.view = view

    def get(self, cask: str, default: object = None) -> list[str]:
        """Its claims; none where the book has no such cask."""
        peer = self.view.context.peer(cask)
        return [] if peer is None else [e.of for e in peer.standing if e.job == "same-as"]  # type: ignore[attr-defined]


def joins(view: View) -> Iterator[tuple[str, int, str]]:
    """(the number joined to this cask, the row that says so, the id of that entry)."""
    for event, row in view.of("same-as"):
        if not view.is_spoiled(row, "of"):
            yield event.of, row, event.id  # type: ignore[attr-defined]


def joined_twice(joined: Mapping[str, list[tuple[str, int, str]]], elsewhere: Claimants = NOBODY) -> Iterator[tuple[str, Fault]]:
    """joined-twice: two files each say that a third number is the same cask as theirs.

    Why: nobody can know whose history it is, so it is counted in neither, and stays a cask of its own until one entry is voided.
    Wrong:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: TH-009999, why: two stencils}
        # TH-004218
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: TH-009999, why: two stencils}
        # TH-009999
        # received 2019-01-01
    Right:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: same-as, by: ab, of: TH-009999, why: two stencils}
        # TH-004218
        # received 2020-01-01
        # TH-009999
        # received 2019-01-01
    """
    for other, claims in sorted(joined.items()):
        files = {cask for cask, _, _ in claims} | set(elsewhere.get(other, ()))
        for cask, row, ident in claims:
            rest = sorted(files - {cask, other})
            if rest and cask != other:
                told = fault(row, "joined-twice", f"`of` is {other}: {rest[0]} claims it too", "void this entry, or the one there", "of")
                yield cask, replace(told, severity=CODES["joined-twice"], related=(ident,))


# Of `joined_twice`, which looks at all files that join a number to theirs.
CODES: dict[str, Severity] = {"joined-twice": "error"}
RULES = (
    Rule(moved, {"moved-without-its-copy": "error"}, on=("moved",)),
    Rule(copied, {"copy-without-its-original": "error"}, on=("moved_from",)),
    Rule(swapped, {"swap-without-its-pair": "error"}, on=("swap-heads",)),
    Rule(same, {"same-as-unknown": "error", "instead-of-unknown": "warning"}, on=("same-as", "receive")),
    Rule(ring, {"joined-with-itself": "error", "joined-in-a-ring": "error"}, on=("same-as",)),
)
