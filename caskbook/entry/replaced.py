"""What is told of an entry that another is put in the place of: itself in the words of `void`, each field that changes, and what the cask is by it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from caskbook.entry.fields import field_of
from caskbook.entry.in_place import old_of, old_words
from caskbook.entry.labels import label_of
from caskbook.entry.page import ordered_event
from caskbook.model.cask import read_event
from caskbook.model.jobs import own_why
from caskbook.model.jobs.base import as_data

if TYPE_CHECKING:
    from caskbook.entry.page import Page
    from caskbook.entry.plan import Desk, Plan
    from caskbook.life import Life
    from caskbook.model.jobs import Event

_MOST_TOLD = 10
_LONGEST = 80
_ASIDE = ("id", "job", "sheet", "source", "replaces", "moved_from")


class InPlace(NamedTuple):
    """An entry of the run, and the one of the book in whose place it comes."""

    page: Page
    new: Event
    old: Event

    @property
    def cask(self) -> str:
        """The number of the file."""
        return self.page.cask_id

    def why_changes(self) -> bool:
        """Whether the reason of the work itself is another one."""
        return self.new.job == self.old.job and own_why(self.new.job) and None not in (self.old.why, self.new.why) and self.old.why != self.new.why


def in_place_of(plan: Plan) -> Iterator[InPlace]:
    """The entries of a plan that replace others, in the order in which they are written."""
    pages = {page.cask_id: page for page in plan.pages}
    for cask, data in plan.written:
        old = old_of(pages[cask], data)
        new, _ = read_event(dict(data), ("events", 0)) if old is not None else (None, ())
        if old is not None and new is not None:
            yield InPlace(pages[cask], new, old)


def replaced_lines(plan: Plan) -> Iterator[str]:
    """Each entry that is replaced, and below it what changes."""
    found = list(in_place_of(plan))
    for one in found[:_MOST_TOLD]:
        yield f"{one.cask}  replaces {old_words(one.old)}"
        if changes := "; ".join(_changes(one)):
            yield f"  {changes}"
    if len(found) > _MOST_TOLD:
        yield f"… and {len(found) - _MOST_TOLD} more that are replaced"


def _changes(one: InPlace) -> Iterator[str]:
    """ "litres filled: 195 → 196", of the fields that both say otherwise; then what is dropped. Why an entry was put right is no field of the work."""
    old, new = ({key: value for key, value in _fields(event).items() if key not in _ASIDE} for event in (one.old, one.new))
    if not own_why(one.old.job) and (one.old.replaces or one.old.why is None):
        old.pop("why", None)
    alike = one.old.job == one.new.job
    for key in dict.fromkeys((*old, *(new if alike else ()))):
        if key == "why" and key not in old and not own_why(one.new.job):
            continue
        if old.get(key) != new.get(key) and key in new:
            yield f"{_label(one.new.job, key)}: {_words(old[key]) if key in old else 'not said'} → {_words(new[key])}"
    if dropped := [f"{_label(one.old.job, key)} {_words(value)}" for key, value in old.items() if key not in new]:
        yield f"dropped: {', '.join(dropped)}"


def _fields(event: Event) -> dict[str, Any]:
    """The keys of an entry in the order of a file."""
    return as_data(event) if event.codes else ordered_event(as_data(event))


def _label(job: str, key: str) -> str:
    field = field_of(job, key)
    return "day" if key == "date" else label_of(field) if field is not None else key.replace("_", " ")


def _words(value: object) -> str:
    """The value of a field on one line, not long."""
    if isinstance(value, dict):
        text = ", ".join(f"{key} {_words(one)}" for key, one in value.items())
    elif isinstance(value, list):
        text = "; ".join(map(_words, value))
    else:
        text = "yes" if value is True else f"{value:g}" if isinstance(value, float) else str(value)
    text = "".join(sign if sign.isprintable() else "?" for sign in text)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


def replaced_doubts(desk: Desk, plan: Plan) -> Iterator[str]:
    """What is asked about of entries that are replaced: another job than was entered, another reason of the work, and what the cask is not any more."""
    found = list(in_place_of(plan))
    for one in found:
        if one.old.job != one.new.job:
            yield f"{one.cask}  {_a(one.new.job)} in place of {_a(one.old.job)}: that {one.old.job} counts no more"
        if one.why_changes():
            yield f"{one.cask}  the {one.new.job} itself gets another why: {one.old.why} → {one.new.why}; why it is put right goes into --note"
        yield from _no_more_joined(one)
    if found and not any(list(_changes(one)) for one in found):
        yield f"{found[0].cask}  it says of that {found[0].new.job} what stands already: nothing is put right"
    for page in {one.cask: one.page for one in found}.values():
        was, now = _life(desk, page, planned=False), _life(desk, page, planned=True)
        if was is not None and now is not None and _is(was) != _is(now):
            yield f"{page.cask_id}  by this {_is_words(was)} → {_is_words(now)}"


def _no_more_joined(one: InPlace) -> Iterator[str]:
    """That two numbers are no longer those of one cask."""
    of = getattr(one.old, "of", None)
    if one.old.job == "same-as" and (one.new.job != "same-as" or getattr(one.new, "of", None) != of):
        yield f"{one.cask}  no more one cask with {of or '?'}: two casks again"


def _a(job: str) -> str:
    return f"{'an' if job[0] in 'aeio' else 'a'} {job}"


def _life(desk: Desk, page: Page, *, planned: bool) -> Life | None:
    """The whole cask of a page today, as the run would leave it or as it is; None where it is new in the book."""
    from caskbook.ledger.whole import whole_life

    first = page.first.cask if page.first is not None else None
    return whole_life(desk.ledger, page.cask if planned else first, desk.today, planned=planned) if first is not None else None


def _is(life: Life) -> tuple[object, ...]:
    """What a cask is to a count of the stock: whether it is one of the book, what it holds, where it is, whether it is there at all, and its state."""
    from caskbook.life.facts import facts_of

    state = life.state
    held = state.spirit if state.contents == "spirit" else None
    return life.begun, *((state.contents, held, state.where, state.form == "gone", facts_of(life).state) if life.begun else ())


def _is_words(life: Life) -> str:
    """The same in words: what it holds, else its state."""
    from caskbook.entry.says import contents_words
    from caskbook.life.facts import facts_of

    facts = facts_of(life)
    if not life.begun:
        return "not in stock"
    held = contents_words(life, facts)
    return f"{held}, {facts.state}" if life.state.filled and facts.state in ("gone", "missing", "away") else held
