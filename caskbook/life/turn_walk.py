"""The turns of a life, found by going through its events."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from caskbook.life.carried import Filling
from caskbook.life.fold import NO_WORK, Life
from caskbook.life.turns import CAME, FULL, GONE, LOOKED, RETIRED, TIP, Fill, Turns, Wood, month_of
from caskbook.model.jobs import Event
from caskbook.words import is_wine
from caskbook.words.job_table import jobs_with

_ENDS = frozenset(jobs_with("ends"))
_MAY_CLOSE = frozenset(jobs_with("closes-leak"))


def turns_of(life: Life) -> Turns | None:
    """The turns of a life up to its day; None of one that has not begun, and of one that is told in part, for nothing of it is known for sure."""
    first = next((event for event in life.events if event.job not in NO_WORK), None)
    came = month_of(first.date) if first is not None else None
    if came is None or life.in_part:
        return None
    walk = _Walk(life, came)
    for seq, event in enumerate(life.events, 1):
        walk.take(event, seq)
    return walk.told()


@dataclass(slots=True)
class _Walk:
    """Goes through the events of a life and notes each turn."""

    life: Life
    came: int
    since: int | None = None
    again: bool | None = None
    wine: bool = False
    held: bool | None = None
    visit: tuple[str, int] | None = None
    counts: bool = True
    never: bool = False
    fills: list[Fill] = field(default_factory=list)
    looks: list[tuple[str, str, int, int]] = field(default_factory=list)
    leaks: list[tuple[int, int | None]] = field(default_factory=list)
    wet: list[tuple[str, str, int]] = field(default_factory=list)
    chars: list[int] = field(default_factory=list)
    retired: int | None = None
    out: tuple[int, str] | None = None
    missed: list[tuple[int, int | None]] = field(default_factory=list)
    unread: int = 0
    woods: list[tuple[int, Wood]] = field(default_factory=list)
    begins: dict[int, Filling] = field(default_factory=dict)
    ends: dict[int, Filling] = field(default_factory=dict)

    def __post_init__(self) -> None:
        past, st = self.life.state.past, self.life.state
        self.since, self.held, self.never = past.fills_since_char, past.had_liquor, past.never_charred
        self.again = None if past.rechar_count is None else past.rechar_count > 0
        self.wine = bool(past.wine)
        self.visit = (CAME, self.came)
        self.woods = [(self.came, self.wood)]
        self.begins = {one.seq: one for one in st.fillings}
        self.ends = {one.end_seq: one for one in st.fillings if one.end_seq is not None}

    @property
    def wood(self) -> Wood:
        """As it stands."""
        return Wood(self.since, self.again, self.wine)

    def take(self, event: Event, seq: int) -> None:
        """One event: what ends by it, what begins."""
        month, job = month_of(event.date), event.job
        if seq in self.ends:
            self._end(self.ends[seq], month, GONE if job in _ENDS else TIP)
        if seq in self.begins:
            self._begin(self.begins[seq], month)
        if job == "season" or (job == "rack-in" and is_wine(getattr(event, "spirit", None) or "", self.life.state.settings.wine_words)):
            self.wine = self.held = True
        if job == "char":
            self._char(month)
        if month is None:
            self.unread += job in LOOKED or job == "leak"
        else:
            self._dated(event, job, month)
        if self.wood != self.woods[-1][1]:
            self.woods.append((self.woods[-1][0] if month is None else month, self.wood))

    def _dated(self, event: Event, job: str, month: int) -> None:
        """What is noted of an event by its month."""
        if job in LOOKED:
            kind, since = self.visit or (FULL, month)
            self.looks.append((job, kind, max(0, month - since), month))
        elif job in ("missing", "found"):
            self._miss(job, month)
        elif job == "retire" or job in _ENDS:
            self._leave(job, month)
        elif job == "empty" or (job == "rack-out" and event.empties and "left_l" not in event.lost):  # type: ignore[attr-defined]
            self.visit = (TIP, month)
            self._close(self.wet, month)
        self._of_leaks(event, month)

    def _char(self, month: int | None) -> None:
        self.again = self.again or (True if self.held else None if self.held is None else self.again)
        self.since, self.counts, self.never = 0, False, False
        if month is not None:
            self.chars.append(month)
        if self.fills and self.fills[-1].how == TIP:
            self.fills[-1] = replace(self.fills[-1], charred=True)

    def _miss(self, job: str, month: int) -> None:
        begun = self.missed.pop()[0] if self.missed and self.missed[-1][1] is None else None
        self.missed.append((month if begun is None else begun, month if job == "found" else None))

    def _begin(self, filling: Filling, month: int | None) -> None:
        if self.fills and self.fills[-1].how == TIP and self.fills[-1].charred is None:
            self.fills[-1] = replace(self.fills[-1], charred=False)
        self.since = None if self.since is None else self.since + 1
        self.counts, self.held, self.visit = True, True, None
        self.wine = self.wine or not filling.is_spirit
        self.unread += month is None
        self.fills.append(Fill(filling.spirit or "?", month))

    def _end(self, filling: Filling, month: int | None, how: str) -> None:
        """The fill that runs is over: a short one counts no longer, and what was wet is a matter of the empty cask."""
        if not self.fills:
            return
        if filling.short and self.counts and not self.never and self.since is not None:
            self.since -= 1  # Of one that was never charred every fill of its life counts.
        self.unread += month is None
        self.fills[-1] = replace(self.fills[-1], end=month, how=how, wood=self.wood)

    def _leave(self, job: str, month: int) -> None:
        if job == "retire":
            self.retired = month if self.retired is None else self.retired
        if self.out is None:
            self.out = month, RETIRED if job == "retire" else GONE
        if job in _ENDS:
            self._close(self.wet, month)

    def _of_leaks(self, event: Event, month: int) -> None:
        """A leak opens by `leak`; a dry look, a peg at its place or a job that names it closes it, as the fold has it."""
        if event.job == "leak":
            self.wet.append((event.id, str(getattr(event, "at", None)), month))
            return
        heirs = self.life.state.own.heirs
        named = getattr(event, "of" if event.job == "look" else "closes", None) if event.job == "look" or event.job in _MAY_CLOSE else None
        at = getattr(event, "at", None)
        if event.job == "look" and event.seen == "dry" and not event.lost & {"seen", "of", "at"}:  # type: ignore[attr-defined]
            self._close([one for one in self.wet if (named is None or one[0] == heirs.get(named, named)) and (at is None or one[1] == str(at))], month)
        elif event.job in _MAY_CLOSE:
            pegged = event.job == "peg"
            self._close([one for one in self.wet if (named is not None and one[0] == heirs.get(named, named)) or (pegged and one[1] == str(at))], month)

    def _close(self, dry: list[tuple[str, str, int]], month: int) -> None:
        self.leaks += [(found, max(found, month)) for _, _, found in dry]
        self.wet = [one for one in self.wet if one not in dry]

    def told(self) -> Turns:
        """All that was noted."""
        leaks = [*self.leaks, *((found, None) for _, _, found in self.wet)]
        lost = self.life.state.unsure & {"fills_since_char", "rechar_count"}
        if lost:  # An entry that cannot be read made them unknown.
            known = self.wood
            self.woods.append(
                (self.woods[-1][0], Wood(None if "fills_since_char" in lost else known.since, None if "rechar_count" in lost else known.again, known.wine))
            )
        return Turns(
            self.life.state.type, self.came, tuple(self.woods), tuple(self.fills), tuple(self.looks), tuple(leaks), tuple(self.chars), self.retired, self.out, tuple(self.missed), self.unread
        )  # fmt: skip
