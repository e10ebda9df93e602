"""Which events stand: voids, replacements and moved entries, whatever their dates; chains, cycles and lost targets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from caskbook.model.jobs import Event, own_why
from caskbook.words.job_table import jobs_with

CORRECTORS = jobs_with("corrects")
"""Jobs that name, as `of`, the entry that they put out of force."""


@dataclass(slots=True)
class Corrections:
    """What the corrections of one file do.

    `fallen`: id → id of the event that put it out of force. `absent`, `cyclic`: correcting events whose target is not in
    the file, or that go round in a circle. `rivals`: replacements that lost against another of the same event, id → winner.
    """

    fallen: dict[str, str] = field(default_factory=dict)
    absent: list[str] = field(default_factory=list)
    cyclic: list[str] = field(default_factory=list)
    rivals: dict[str, str] = field(default_factory=dict)

    def stands(self, event: Event) -> bool:
        """Whether the event counts."""
        return event.id not in self.fallen

    def heirs(self, events: Sequence[Event]) -> dict[str, str]:
        """Id of an entry out of force → id of the one that stands in its place: what names a replaced entry means its replacement.
        What was voided, or moved to another cask, has none."""
        replacing = {event.id for event in events if event.replaces} if self.fallen else set()
        return {one: by for one, by in self.fallen.items() if by in replacing and by not in self.fallen}


_NONE = Corrections()


def own_reasons(events: Sequence[Event]) -> frozenset[str]:
    """Ids of the replacements whose `why` is that of the entry they replace, as where only its day was put right, once or again: it is a reason of
    the work itself. Any other replacement says in `why` what was wrong."""
    known = {event.id: event for event in events}
    kept = {event.id: bool(event.why) for event in events if not event.replaces}
    for event in events if len(kept) < len(known) else ():
        way, at = list[Event](), known.get(event.id)
        while at is not None and at.id not in kept:
            kept[at.id] = False  # Such it stays where it goes round in a circle.
            way.append(at)
            at = known.get(at.replaces or "")
        for one in reversed(way):
            before = known.get(one.replaces or "")
            kept[one.id] = before is not None and kept[before.id] and one.why == before.why
    return frozenset(event.id for event in events if event.replaces and kept[event.id])


def reason_put_right(event: Event, was: Event | None) -> str | None:
    """Why an entry puts another right. Where its `why` is that of the work still, or a field of the job itself, it is what its note says beyond
    the note of the entry before; in older books it took the place of the reason of the work."""
    if event.job in CORRECTORS:
        return event.why
    before = (was.note if was is not None and was.job == event.job else None) or ""
    added = "" if event.note == before else (event.note or "").removeprefix(f"{before}; ")
    kept = was is not None and event.why == was.why and (own_why(event.job) or not was.replaces or bool(added))
    if not kept and not own_why(event.job):
        return event.why
    return added or (None if kept else event.why)


def target_of(event: Event) -> str | None:
    """The event that this one puts out of force, if it is a correction."""
    if event.job in CORRECTORS:
        return event.of and str(event.of)  # type: ignore[attr-defined]
    return event.replaces


def corrections(events: Sequence[Event]) -> Corrections:
    """Work out which events of a file stand. An event stands unless a standing correction names it.

    A replacement (or `moved`) also puts out of force what its target had replaced; of two standing replacements of one
    event the larger id counts; no member of a cycle counts.
    """
    for event in events:
        if event.replaces or event.job in CORRECTORS:
            break
    else:
        return _NONE
    targets = {event.id: target for event in events if (target := target_of(event))}
    return _Resolver(events, targets).resolve()


def put_out_by(event: Event, known: Mapping[str, Event]) -> Iterator[str]:
    """The ids that an event puts out of force while it stands: what it names and, unless it is a void, what that had replaced in turn."""
    seen, at = {event.id}, target_of(event)
    while at and at not in seen:
        seen.add(at)
        yield at
        at = known[at].replaces if at in known and event.job != "void" else None


def contrary(events: Sequence[Event], found: Corrections) -> dict[str, str]:
    """Corrections that count beside another of the same entry, of which one put something in its place or took it to another cask:
    id → the largest id of those. Two voids say the same; replacements have a winner, and are among the `rivals`, else the one
    that lost was replaced or moved in turn."""
    groups: dict[str, list[Event]] = {}
    known = {event.id: event for event in events} if found is not _NONE else {}
    for event in known.values():
        if found.stands(event) and event.id not in found.absent:
            for target in put_out_by(event, known):
                groups.setdefault(target, []).append(event)
    twice = [sorted(group, key=lambda one: one.id) for group in groups.values() if len(group) > 1 and any(one.job != "void" for one in group)]
    return {one.id: group[-1].id for group in twice for one in group[:-1]}


class _Resolver:
    """Asks three things of an event, each once, so that thousands of corrections in a row take no longer than as many apart:
    which correction puts it out of force ("by"), the largest standing one that works through a replacement of it ("through"),
    and the largest standing one of it and its larger rivals ("rival"). Of several corrections the largest id counts."""

    def __init__(self, events: Sequence[Event], targets: dict[str, str]) -> None:
        self.ids = [event.id for event in events]
        self.known = set(self.ids)
        self.targets = targets
        self.replaces = {event.id: event.replaces for event in events if event.replaces}
        self.chaining = {event.id for event in events if event.replaces or event.job == "moved"}
        self.out = Corrections()
        self.answers: dict[tuple[str, str], str | None] = {}

    def resolve(self) -> Corrections:
        """All corrections worked out: which events are out of force and by what, which targets are absent, which go round in a circle."""
        self.out.absent = [one for one, target in self.targets.items() if target not in self.known]
        circles = self._circles()
        self.out.cyclic = [one for one in self.targets if one in circles]
        self._note_correctors(circles)
        for one in self.out.cyclic:
            self.answers["by", one] = self.targets[one]
        for one in self.ids:
            killer = self._answer(("by", one))
            if killer is not None:
                self.out.fallen[one] = killer
        self._name_rivals()
        return self.out

    def _circles(self) -> set[str]:
        """The events that go round in a circle: each has one target at most, so every event is passed once."""
        passed: set[str] = set()
        found: set[str] = set()
        for start in self.targets:
            way: dict[str, int] = {}
            at: str | None = start
            while at in self.targets and at not in passed and at not in way:
                way[at] = len(way)
                at = self.targets[at]
            if at in way:
                found |= {one for one, place in way.items() if place >= way[at]}
            passed |= way.keys()
        return found

    def _note_correctors(self, circles: set[str]) -> None:
        """By target: what corrects it, and what replaces it; and the next larger rival of a replacement."""
        self.correctors: dict[str, list[str]] = {}
        self.replacers: dict[str, list[str]] = {}
        for one, target in self.targets.items():
            if one not in circles and target in self.known:
                self.correctors.setdefault(target, []).append(one)
        self.circles = circles
        for one, target in self.replaces.items():
            self.replacers.setdefault(target, []).append(one)
        groups = [sorted(one for one in group if one not in circles) for group in self.replacers.values()]
        self.larger = {small: large for group in groups for small, large in zip(group, group[1:], strict=False)}

    def _needs(self, question: tuple[str, str]) -> list[tuple[str, str]]:
        """The questions whose answers a question rests on; they are asked first, so that no recursion is needed."""
        what, one = question
        larger = [("rival", self.larger[one])] if one in self.larger else []
        if what == "by":
            return [("by", by) for by in self.correctors.get(one, ())] + [("through", one)] + larger
        if what == "rival":
            return [("by", one), *larger]
        needs = []
        for again in self.replacers.get(one, ()):
            needs += [("by", by) for by in self.correctors.get(again, ()) if by in self.chaining]
            needs += [("through", again)] if again not in self.circles else []
        return needs

    def _worked_out(self, question: tuple[str, str]) -> str | None:
        """The id that answers a question, of several the largest, out of the answers that it rests on; None where nothing does."""
        what, one = question
        found = [one] if what == "rival" and self.answers.get(("by", one)) is None else []
        for need in self._needs(question):
            if need == ("by", one):
                continue
            answer = self.answers.get(need, need[1] if need[0] == "by" else None)
            if need[0] == "by":
                found += [need[1]] if answer is None else []
            elif answer is not None:
                found.append(answer)
        return max(found, default=None)

    def _answer(self, question: tuple[str, str]) -> str | None:
        """Depth first, without recursion so that a chain of thousands of corrections is read too."""
        todo, begun = [question], set()
        while todo:
            at = todo[-1]
            if at in self.answers:
                todo.pop()
                continue
            begun.add(at)
            lacking = [need for need in self._needs(at) if need not in self.answers and need not in begun]
            if lacking:
                todo += lacking
                continue
            self.answers[at] = self._worked_out(at)
            todo.pop()
        return self.answers[question]

    def _name_rivals(self) -> None:
        """Note of two replacements of one entry the smaller id, which nothing but the larger one puts out."""
        for group in self.replacers.values():
            for small in group if len(group) > 1 else ():
                killer = self.out.fallen.get(small)
                alone = all(one in self.out.fallen for one in self.correctors.get(small, ()))
                if (
                    alone
                    and killer is not None
                    and killer > small
                    and self.circles.isdisjoint((small, killer))
                    and self.replaces.get(killer) == self.replaces[small]
                    and killer not in self.out.fallen
                ):
                    self.out.rivals[small] = killer
