"""The cask as the fold carries it from event to event, and the few moves that several jobs share."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

from caskbook.life.carried import Defect, Filling, MarkSet, OpenLeak, Own, Seasoning, Tested
from caskbook.life.first_staves import FirstStaves
from caskbook.life.past import Past
from caskbook.life.staves_turned import Turned
from caskbook.model.house import House, Settings
from caskbook.model.jobs import Event
from caskbook.model.jobs.bench import Examine
from caskbook.model.places import Frame, Place, PlaceError, contains, parse_place

UNKNOWN = "?"
"""A place or a word that the entry should have given and nobody wrote; null in machine-readable answers."""


@dataclass(slots=True)
class State:
    """Everything that is carried. Nobody types these; each is worked out from the events."""

    house: House
    type: str
    past: Past
    frame: Frame
    settings: Settings
    seq: int = 0
    day: date = date.min
    contents: str = "empty"
    spirit: str | None = None
    form: str = "whole"
    where: str = "here"
    berth: str | None = None
    stow: str | None = None
    marks: dict[str, MarkSet] = field(default_factory=dict)
    open_heads: set[str] = field(default_factory=set)
    wine_held: bool | None = False
    held_liquor: bool = False
    # These are of the visit: from receipt, return or emptying to the next filling or seasoning.
    in_visit: bool = True
    visit_seq: int = 0
    visit_structural: bool = False
    visit_fails: int = 0
    visits: list[int] = field(default_factory=lambda: [0])
    proved: bool = False
    loosened: list[int] = field(default_factory=list)
    last_test: Tested | None = None
    last_pass: Tested | None = None
    exam: Examine | None = None
    exam_seq: int = 0
    answer_seq: int = 0
    examined_since_empty: bool = True
    emptied_on: date | None = None
    clean_nose: bool = False
    treatments: int = 0
    taint_treatments: int = 0
    hoop_pending: bool = False
    pass_owed: bool = False
    defects: list[Defect] = field(default_factory=list)
    leaks: list[OpenLeak] = field(default_factory=list)
    # These are of fillings and fires.
    fillings: list[Filling] = field(default_factory=list)
    seasonings: list[Seasoning] = field(default_factory=list)
    fills: int = 0
    fills_since_char: int = 0
    fills_since_fire: int = 0
    chars: int = 0
    rechars: int | None = 0
    sure_rechars: int = 0
    last_rechar: date | None = None
    last_char: date | None = None
    last_char_level: str | None = None
    last_fire: date | None = None
    fires: int = 0
    wood_days: int = 0
    wood_days_since_char: int = 0
    oak_since: date | None = None
    # These are of the cask's parts.
    staves_first: int | None = None  # As first counted, until it was knocked down.
    first_staves: FirstStaves = FirstStaves()
    staves_replaced: dict[str, int] = field(default_factory=dict)
    replaced_on: list[tuple[date, int, int | None]] = field(default_factory=list)  # When, which, and of how many.
    seconds: frozenset[int] = frozenset()  # Numbers of staves of which there are two, as 14 and 14b.
    broad: frozenset[tuple[int, int]] = frozenset()  # Numbers that one stave stands for, the one that it bears first.
    turned: dict[str, Turned] = field(default_factory=dict)  # By entry.
    bung_stave_replacements: int = 0
    hoops_replaced: int = 0
    heads_replaced: int = 0
    flagged: dict[str, int] = field(default_factory=dict)
    donors: set[str] = field(default_factory=set)
    tainted_parts: list[tuple[date, str]] = field(default_factory=list)  # Put in since the last clean nose: when, and what of whom.
    stave_mm: float | None = None
    soaked: float | None = None
    capacity_l: float | None = None
    tare_kg: float | None = None
    old_marks: list[str] = field(default_factory=list)
    joined: list[str] = field(default_factory=list)
    own: Own = field(default_factory=Own)  # The file of the entry at hand.
    files: list[str] = field(default_factory=list)  # Of a cask with several files the number of that of each event, by `seq`.
    unsure: set[str] = field(default_factory=set)  # These facts became unknown by an entry without a sound value.

    def tell_first(self, told: FirstStaves, count: int | None) -> None:
        """So many staves were counted: beside a count that nobody could read it tells not what went and came."""
        self.first_staves = replace(told, lost=True) if count is not None and "staves" in self.unsure else told

    @property
    def filled(self) -> bool:
        """Whether there is spirit or wine in it."""
        return self.contents != "empty"

    @property
    def filling(self) -> Filling | None:
        """The stretch of liquor that lasts, if any."""
        return self.fillings[-1] if self.fillings and self.fillings[-1].end is None else None

    @property
    def had_liquor(self) -> bool | None:
        """Whether it has held spirit or wine, here or before: then a char is a re-char. None where nobody knows."""
        return self.held_liquor or self.past.had_liquor

    @property
    def least_rechars(self) -> int:
        """How many re-chars it has had at least: those before us that are known, and the chars here that found for sure that liquor had been held."""
        return max(self.sure_rechars + (self.past.rechar_count or 0), self.rechars or 0)

    @property
    def taint_of_wood(self) -> tuple[date, str] | None:
        """Since when, and by what, a part of it would take a taint along: its own, or that of wood put into it and not nosed clean since."""
        own = self.marks.get("tainted")
        return (own.since, own.why) if own else min(self.tainted_parts, default=None)

    def mark(self, name: str, event: Event, why: str) -> None:
        """Set a mark; one that stands keeps its day."""
        self.marks.setdefault(name, MarkSet(event.date, event.id, why or UNKNOWN, self.seq))

    def reason(self, event: Event, otherwise: str) -> str:
        """Why the work of an entry was done: its reason, or its note; of a replacement not what was wrong with the entry before."""
        own = event.why if not event.replaces or event.id in self.own.own_reasons else None
        return own or event.note or otherwise

    def unprove(self) -> None:
        """Structural work: what was tight need not be tight any more."""
        self.loosen()
        if self.in_visit:
            self.visit_structural = True
        else:
            self.pass_owed = True

    def loosen(self) -> None:
        """Not proved from here on; `loosened` are the places in the history of what did it, since the last pass."""
        self.proved = False
        self.loosened.append(self.seq)

    def begin_visit(self) -> None:
        """From here the cask stands for examination, until it is filled or seasoned."""
        if self.seq > 1:
            self.visits.append(0)
        self.in_visit = True
        self.visit_seq = self.seq
        self.visit_structural = False
        self.visit_fails = 0
        self.exam = None

    def end_visit(self) -> None:
        """Filled or seasoned."""
        self.in_visit = False
        self.visit_fails = 0

    def answer(self, addresses: list[str]) -> None:
        """Work at these places answers the open defects there."""
        if self.defects and addresses:
            worked = [parse_place(address) for address in addresses]
            self._drop([d for d in self.defects if any(self._covers(place, d.at) for place in worked)])

    def answer_hoops(self) -> None:
        """Driving all hoops answers every defect at a hoop."""
        self._drop([d for d in self.defects if d.at.startswith("hoop-")])

    def answer_named(self, answers: list[str]) -> None:
        """`answers: [EVENT or EVENT/place]`."""
        pairs = [answer.partition("/")[::2] for answer in answers]
        self._drop([d for d in self.defects if any(self.means(event, d) and place in ("", d.at) for event, place in pairs)])

    def means(self, named: str, one: Defect | OpenLeak) -> bool:
        """Whether the entry at hand means this by an id: its own file's first; of what was replaced, the replacement."""
        if one.event != self.own.heirs.get(named, named):
            return False
        return not self.files or self.files[one.seq - 1] == self.own.number or named not in self.own.ids

    def leaks_seen(self, of: str | None, at: str | None) -> list[OpenLeak]:
        """The open leaks that a look means: at a place, of a leak entry; with neither, every one."""
        return [leak for leak in self.leaks if (of is None or self.means(of, leak)) and (at is None or leak.at == at)]

    def _covers(self, place: Place, at: str) -> bool:
        try:
            return contains(place, parse_place(at), self.frame)
        except PlaceError:
            return False

    def _drop(self, answered: list[Defect]) -> None:
        if not answered:
            return
        self.defects = [d for d in self.defects if d not in answered]
        if self.exam is not None and any(d.seq == self.exam_seq for d in answered):
            self.answer_seq = self.seq

    def start_filling(self, event: Event, spirit: str, litres: float | None, abv: float | None, *, wine: bool = False) -> None:
        """A fill begins: it counts, and ends the visit; one that was still running ends first."""
        if self.filling is not None:
            self.end_filling(event)
        self.end_seasoning(event)
        self.fills += 1
        self.fills_since_char += 1
        self.fills_since_fire += 1
        self.fillings.append(Filling(event.id, spirit, event.date, litres, abv, not wine, self.fills, seq=self.seq))
        self.hold_liquor("wine" if wine else "spirit", spirit)

    def hold_liquor(self, contents: str, word: str) -> None:
        """Liquor is in it."""
        self.contents, self.spirit, self.held_liquor = contents, word, True
        self.end_visit()

    def end_seasoning(self, event: Event) -> None:
        """The seasoning that runs, if one does, ends."""
        if self.seasonings and self.seasonings[-1].end is None:
            self.seasonings[-1].end, self.seasonings[-1].end_event = event.date, event.id

    def end_filling(self, event: Event) -> None:
        """The running fill ends: its days count as years in wood, unless it was too short to count since char."""
        filling = self.filling
        if filling is None:
            return
        filling.end, filling.end_event, filling.end_seq = event.date, event.id, self.seq
        days = (event.date - filling.start).days
        if filling.is_spirit:
            self.wood_days += days
            since = max(filling.start, self.last_char) if self.last_char else filling.start
            self.wood_days_since_char += max(0, (event.date - since).days)
        limit = self.house.on(filling.start, self.type).short_fill_days
        if days < limit:
            filling.short = True
            self.fills_since_char -= filling.since_char
            self.fills_since_fire -= filling.since_char

    def become_empty(self, event: Event) -> None:
        """Emptied: a new visit, nothing examined, open leaks to be mended."""
        self.end_filling(event)
        self.end_seasoning(event)
        self.contents, self.spirit, self.oak_since = "empty", None, None
        self.emptied_on = event.date
        self.examined_since_empty = self.clean_nose = False
        self.begin_visit()
        self.defects += [Defect(leak.at, "leak", leak.severity, leak.event, leak.seq) for leak in self.leaks]
        self.defects.sort(key=lambda d: (d.seq, d.order))
        self.leaks = []
        if self.hoop_pending:
            self.hoop_pending = False
            self.unprove()
        # The visit that begins here owes the pass for what unproved it while full, or it would be filled again unproved.
        self.visit_structural = self.visit_structural or (self.pass_owed and not self.proved)
        self.pass_owed = False
