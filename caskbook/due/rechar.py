"""The due rule `rechar`: a cask that has given what its char could give is charred again, or worked over by fire."""

from __future__ import annotations

from datetime import date

from caskbook.due.case import Case, due_since, fills, several
from caskbook.due.char_use import Count, barred_for_good, charred_again, count_of, limit_of
from caskbook.due.retire import proposed
from caskbook.due.retire_words import REPORT
from caskbook.due.rule import Rule, any_of
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.model.house import RecharRule, Settings
from caskbook.model.jobs import Event


def rechar(case: Case) -> Opinion:
    """Char again.

    What: the spent inside is shaved and charred again. Casks of the types named in due.rechar.off_types (butt, puncheon,
    port-pipe, barrique, madeira-drum, gorda), and casks that held wine, are not charred: for them fills since the last fire
    count, and toasting, seasoning again or a lesser use is proposed.
    Why: after four or five fills the char has little left to give; common practice, no source.
    When it is due: soon at 4 fills since char, due at 5, well past from 8; after a re-char due at 2. Blocked where it has been
    re-charred twice, its staves are under the floor of its type, a defect of severity 3 is open, or retirement is proposed.
    Unknown where the last char or the fills since are not known, unless what is known is enough. On a filled cask it waits
    for the emptying, once its number is reached.
    What to do: caskbook enter shave+char CASK; one that may be charred no more has its options on caskbook report retirement CASK.
    """
    rule = case.rules.rechar
    if rule.off:
        return OFF
    if case.idle:
        return ok(case.idle)
    count = count_of(case)
    limits = {limit_of(rule, again) for again in charred_again(case)}
    reason = _reason(case, count)
    if count.least >= max(limits):
        return _due(case, count, reason)
    if count.most is None or count.most >= min(limits):
        return Opinion("unknown", (reason,))
    if count.known and count.least >= _soon(rule, max(limits)) and not case.st.filled:
        return Opinion("soon", (reason, *_no_more(case, count)))
    return ok(reason)


def _soon(rule: RecharRule, limit: int) -> int:
    """A limit as low as that after a re-char leaves no room for the usual soon: it is one fill before."""
    return min(rule.soon_at, max(1, limit - 1))


def _reason(case: Case, count: Count) -> str:
    before = count.least - count.here
    never = bool(case.facts.never_charred) and not count.by_fire
    what = f"{fills(count.least)}, never charred" if never else f"{fills(count.least)} {count.since}"
    if not count.known:
        more = "more may be" if count.most is None else f"{count.most} at most"
        what = f"at least {what}, {more}: {_not_known(case, count)}"
    elif before:
        child = count.inherited
        what = f"{'at least ' * child}{what}: {before} {'of its highest parent' if child else 'before us'}, {count.here} here"
    return f"{what}; {_house_limit(case)}"


def _house_limit(case: Case) -> str:
    rule, again = case.rules.rechar, charred_again(case)
    if len(again) > 1:
        return f"house limit {rule.due_at}, or {rule.after_rechar_due_at} if its char was a re-char, which is not known"
    return f"house limit {rule.after_rechar_due_at} after a re-char" if True in again else f"house limit {rule.due_at}"


def _not_known(case: Case, count: Count) -> str:
    last = case.facts.last_fire if count.by_fire else case.facts.last_char
    if last is None and not case.facts.never_charred:
        return f"its last {'fire' if count.by_fire else 'char'} is not known"
    return "its fills before us are not known"


def _due(case: Case, count: Count, reason: str) -> Opinion:
    """The opinion where the count has reached its limit: at-emptying on a full cask, blocked where a re-char is of no use, else due."""
    proposal = ("not charred: toast it, season it again, or put it to lesser use",) if count.by_fire else ()
    signs, turns = proposed(case)
    blocks = _blocks(case, count) + tuple(f"retirement is proposed: {sign}" for sign in signs[:1])
    well_past = count.least >= case.rules.rechar.well_past_at
    if case.st.filled:
        return Opinion("at-emptying", (reason, *proposal, *blocks), well_past=well_past, turns=turns)
    if blocks:
        end = () if signs else _no_more(case, count)[-1:]
        return Opinion("blocked", (*blocks, reason, *proposal, *end), well_past=well_past, turns=turns)
    base = case.st.emptied_on or case.life.events[0].date
    again = charred_again(case)

    def reached(settings: Settings) -> date | None:
        limits = [limit_of(settings.due.rechar, either) for either in again]
        return base if count.least >= max(limits) else None

    return Opinion("due", (reason, *proposal), due_since(case, reached), well_past, turns=turns)


def _no_more(case: Case, count: Count) -> tuple[str, ...]:
    """Why it may be charred no more, and where to look for what can be done with it; empty where it may be."""
    barred = barred_for_good(case, count)
    return (*barred, f"what else can be done with it: {REPORT} {case.life.cask.id}") if barred else ()


def _blocks(case: Case, count: Count) -> tuple[str, ...]:
    """What stands in the way of the fire."""
    grave = [f"{d.at} {d.defect}" for d in case.st.defects if d.severity == 3]
    return (*barred_for_good(case, count), *([f"severity-3 defect open at {several(grave)}"] if grave else []))


def _jobs(case: Case, word: str) -> tuple[str, ...]:
    """Shaved, then charred; the lesser fire where a cask is not charred. Nothing while something is in the way."""
    if word == "blocked":
        return ()
    return ("toast",) if count_of(case).by_fire else ("shave", "char")


_begins_anew = any_of("char", "toast", "season")


def _another(_: Case, event: Event, __: int) -> bool:
    """A fire, or a seasoning: its fills count anew from there."""
    return _begins_anew(event)


RECHAR = Rule(
    "rechar",
    4,
    rechar,
    any_of("receive", "fill", "rack-in", "char", "toast", "season"),
    _another,
    jobs=("char", "shave"),
    kind="re-char",
    calls=_jobs,
    if_kept=True,
    for_ever=True,
    before_fill=True,
)
