"""Every rule asked about one cask, decisions laid over, the day of the next change worked out; and the ranking."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from caskbook.core.days import UnknownDay
from caskbook.due.case import Case, case_of
from caskbook.due.decided import decision, in_words
from caskbook.due.loss import LOSS
from caskbook.due.registry import RULES
from caskbook.due.rule import Rule
from caskbook.due.verdict import Opinion, Verdict, ok, told_in_part
from caskbook.life import Life
from caskbook.life.facts import Facts
from caskbook.loss import PeerTable, losses_of
from caskbook.words.verdicts import RANK

_PLACE = {rule.name: (rule.rank, n) for n, rule in enumerate(RULES)}


def judge(life: Life, facts: Facts, rules: Sequence[Rule] = RULES, *, excess_losses: int = 0, peers: PeerTable | None = None) -> list[Verdict]:
    """One verdict a rule, in the order of the rules, about a cask on the day of its life.

    None for a cask that has not begun, is gone or missing; of a cask that is away only what needs no bench (hold, claim).
    `peers`: what every fill of the book loses; without it the rule `loss` is not asked. `excess_losses`: how many fills
    running, the latest ones, lost too much, where that is known without peers. Use `changes_on` for the day on which the whole
    list may change.
    """
    asked = _rules_for(life, rules, peers)
    if not asked:
        return []
    losses = None if peers is None else losses_of(life, peers)
    running = excess_losses if losses is None else losses.running()
    days = _Days(case_of(life, facts, running, losses), life.next_event)
    return [_verdict(rule, days) for rule in asked]


def _rules_for(life: Life, rules: Sequence[Rule], peers: PeerTable | None = None) -> list[Rule]:
    """The rules that can say anything of this cask on this day."""
    if not life.begun or life.state.form == "gone" or life.state.where == "missing":
        return []
    return [rule for rule in rules if (rule.away or life.state.where == "here") and (peers is not None or rule is not LOSS)]


def opinions(case: Case, rules: Sequence[Rule] = RULES) -> list[tuple[Rule, Opinion]]:
    """What each of these rules but that of losses says of a case, decisions laid over: as `judge` finds them, without the day of the next change, which
    takes longer."""
    return [(rule, _opinion_of(rule, case)[0]) for rule in _rules_for(case.life, rules)]


def pressing(life: Life, facts: Facts) -> set[str]:
    """The rules by which the cask is due or blocked."""
    return {rule.name for rule, opinion in opinions(case_of(life, facts)) if opinion.verdict in ("due", "blocked")}


def verdict_words(life: Life, facts: Facts) -> dict[str, str]:
    """Rule → due, blocked, soon, at-emptying, unknown or ok."""
    return {rule.name: opinion.verdict for rule, opinion in opinions(case_of(life, facts))}


def changes_on(life: Life, verdicts: Iterable[Verdict]) -> date | None:
    """The first later day on which `judge` may answer otherwise if nothing is entered; None is never.

    Of an empty list of verdicts: the day of the next event that the file already has.
    """
    found = [verdict.changes_on for verdict in verdicts] + [life.next_event]
    return min((day for day in found if day), default=None)


def ranked(verdicts: Iterable[Verdict]) -> list[Verdict]:
    """What matters first: due and blocked before soon, at-emptying, unknown and ok.

    Within each: look and hold, nose, retest and examine, rechar and retire, then the rest; well past first, then a run before
    a drip before a weep, the longest due, the cask's number.
    """
    return sorted(verdicts, key=_rank)


def _rank(verdict: Verdict) -> tuple[object, ...]:
    rank, place = _PLACE.get(verdict.rule, (9, 99))
    since = verdict.since or date.max
    return (RANK[verdict.verdict], rank, not verdict.well_past, -verdict.severity, since, verdict.cask, place)


@dataclass(slots=True)
class _Days:
    """The case on its day and on later ones, each worked out once. `end`: the day on which the file has a later event."""

    now: Case
    end: date | None
    known: dict[date, Case | None] = field(default_factory=dict)

    def on(self, day: date) -> Case | None:
        """The case on a later day, nothing entered."""
        if day not in self.known:
            self.known[day] = self.now.on(day)
        return self.known[day]

    def next_setting(self, day: date) -> list[date]:
        """The next day on which a dated setting starts."""
        starts = self.now.life.house.starts
        at = bisect_right(starts, day)
        return [starts[at]] if at < len(starts) else []


def _opinion_of(rule: Rule, case: Case) -> tuple[Opinion, str | None]:
    """The rule's opinion, and the decision that quiets it: then only the reasons stay."""
    opinion = ok() if case.life.out_of_reach else rule.judge(case)
    decide, over = decision(case, rule) if case.decides else (None, ())
    turns = over + opinion.turns if over else opinion.turns
    if case.life.unread:
        opinion = told_in_part(opinion, case.life.unread, case.life.cask.id, for_ever=rule.for_ever, lacks_entries=case.life.lacks_entries)
    if decide is None and turns is opinion.turns and opinion.begun is None:
        return opinion, None
    if decide is None or not opinion.answered_by(decide.date):
        return Opinion(opinion.verdict, opinion.reasons, opinion.since, opinion.well_past, opinion.severity, turns), None
    return Opinion("ok", opinion.reasons, turns=turns), in_words(decide)


def _face(answer: tuple[Opinion, str | None]) -> tuple[object, ...]:
    opinion, decided = answer
    return opinion.verdict, opinion.reasons, opinion.since, opinion.well_past, opinion.severity, decided


def _verdict(rule: Rule, days: _Days) -> Verdict:
    answer = _opinion_of(rule, days.now)
    opinion, decided = answer
    changes, turns = _changes(rule, days, answer)
    since = _known(opinion.since)
    head, berth = days.now.life.cask.head, days.now.st.berth
    return Verdict(
        head.cask, head.type, berth, rule.name, opinion.verdict, since, opinion.well_past, opinion.reasons, decided,
        _known(changes), opinion.severity, _known(turns),
    )  # fmt: skip


def _known(day: date | None) -> date | None:
    return None if isinstance(day, UnknownDay) else day


def _changes(rule: Rule, days: _Days, answer: tuple[Opinion, str | None]) -> tuple[date | None, date | None]:
    """(the day on which the rule answers otherwise or the file has something new, the day on which its word is another, nothing entered): from turn to turn.

    Where it cannot be told on some day, the answer may be another from then on, and the word is taken to be the same."""
    day, then, changes = days.now.day, answer, None
    if not then[0].turns and not days.next_setting(day):
        return days.end, None
    while True:
        turn = min((turn for turn in (*then[0].turns, *days.next_setting(day)) if turn > day), default=None)
        if changes is None and days.end and (turn is None or days.end <= turn):
            changes = days.end
        if turn is None:
            return changes, None
        day, case = turn, days.on(turn)
        if case is not None:
            then = _opinion_of(rule, case)
        if changes is None and (case is None or _face(then) != _face(answer)):
            changes = day
        if then[0].verdict != answer[0].verdict:
            return changes, day
