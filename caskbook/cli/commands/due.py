"""`due`: what is due in the whole book, ranked."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from caskbook.cli.common import (
    Book,
    index_answer,
    one_of,
    open_book,
    screen,
    type_word,
    write_text,
)
from caskbook.cli.data_output import write_data
from caskbook.cli.remarks import say_in_part, say_left_out, say_no_casks, say_nothing_fits, say_unreadable
from caskbook.core.finding import CaskbookError
from caskbook.words.verdicts import chosen_verdicts

if TYPE_CHECKING:
    from caskbook.due import Verdict
    from caskbook.index.answer import Answer
    from caskbook.index.index import Index
    from caskbook.index.listing import Filter
    from caskbook.render.verdict import Judged

_USUAL_TOP = 40


@dataclass(frozen=True)
class DueList:
    """What is to be printed: the verdicts shown, in order, out of `casks` here; `count`: verdict → how often among those chosen.
    `overlooked`: files that are gone while git is told to overlook them; None where git has to be asked; `linked`:
    links among the casks, None where they have to be looked for."""

    root: Path
    day: date
    casks: int
    count: Counter[str]
    shown: Sequence[Judged]
    overlooked: list[str] | None = None
    linked: list[str] | None = None


def run(records: str | None, as_of: str | None, at: str | None, form: str, chosen: dict[str, Any], *, fail_if_any: bool) -> int:
    """Print the list; 1 where something is due and --fail-if-any was given."""
    one_of("--format", form, ("text", "json", "csv"))
    chosen["types"] = [type_word(word) for word in chosen["types"]]
    chosen["rules"], chosen["casks"] = _rules_and_casks(chosen["rules"], records, as_of, at) if chosen["rules"] else ([], [])
    verdicts = chosen_verdicts(soon=chosen["soon"], unknown=chosen["unknown"], every=chosen["every"])
    due = _from_index(records, as_of, at, chosen, verdicts) or _from_files(records, as_of, at, chosen, verdicts)
    _say_nothing_fits(chosen, due.count)
    say_left_out(due.root, at, due.overlooked, due.linked)
    gone = not due.casks and say_no_casks(due.root, at)
    _print(form, _header(due.day, due.casks, due.count), due.shown, chosen)
    return 1 if fail_if_any and (gone or any(verdict.verdict == "due" for verdict in due.shown)) else 0


def _rules_and_casks(words: Sequence[str], records: str | None, as_of: str | None, at: str | None) -> tuple[list[str], list[str]]:
    """(the rules among the words, the casks they name, by their numbers). CaskbookError for a cask that the book has not."""
    from caskbook.words.due_names import DUE_NAMES

    rules = [word for word in words if word in DUE_NAMES]
    if len(rules) == len(words):
        return rules, []
    from caskbook.cli.numbers import in_the_book
    from caskbook.entry.casks import looks_like_casks

    casks = [word for word in words if word not in rules and looks_like_casks(word)]
    found = in_the_book(open_book(records, as_of, at, joins=True), casks, at) if casks else []
    return [word for word in words if word not in casks], found


def _from_index(records: str | None, as_of: str | None, at: str | None, chosen: dict[str, Any], verdicts: set[str]) -> DueList | None:
    """What the index knows; None where there is none, or it turns out to be damaged: then another is begun."""
    opened = index_answer(records, as_of, at)
    if opened is None:
        return None
    index, answer = opened
    with index.reading():
        return _listed(index, answer, chosen, verdicts)
    return None


def _listed(index: Index, answer: Answer, chosen: dict[str, Any], verdicts: set[str]) -> DueList:
    _check_rules(chosen["rules"], [name for name, _ in answer.rules])
    for name in answer.unreadable:
        say_unreadable(answer.shown + name, name.rpartition("/")[2].removesuffix(".yaml"))
    say_in_part(answer.in_part)
    wanted = _filter(chosen)
    casks, count = index.counts(wanted)
    return DueList(index.root, answer.day, casks, count, index.due(wanted, verdicts), answer.overlooked, answer.linked)


def _from_files(records: str | None, as_of: str | None, at: str | None, chosen: dict[str, Any], verdicts: set[str]) -> DueList:
    """The same, worked out from every file."""
    from caskbook.due import RULES, ranked

    _check_rules(chosen["rules"], [rule.name for rule in RULES])
    book = open_book(records, as_of, at)
    casks, found = _gathered(book, _filter(chosen))
    shown = ranked([verdict for verdict in found if verdict.verdict in verdicts])
    return DueList(book.root, book.day, casks, Counter(verdict.verdict for verdict in found), shown)


def _filter(chosen: dict[str, Any]) -> Filter:
    from caskbook.index.listing import Filter

    return Filter(tuple(chosen["rules"]), tuple(chosen["types"]), chosen["berth"], tuple(chosen["casks"]))


def _check_rules(rules: Sequence[str], names: list[str]) -> None:
    for rule in rules:
        if rule not in names:
            from caskbook.words.spelling import did_you_mean

            raise CaskbookError(f"{rule} is no due rule: expected one of {', '.join(names)}{did_you_mean(rule, names)}")


def _say_nothing_fits(chosen: dict[str, Any], count: Counter[str]) -> None:
    """A filter that no cask passes is more likely misspelt than good news."""
    if not sum(count.values()) and (chosen["berth"] or chosen["types"]):
        say_nothing_fits({"berth": [chosen["berth"]] if chosen["berth"] else [], "type": chosen["types"]})


def _gathered(book: Book, wanted: Filter) -> tuple[int, list[Verdict]]:
    """(casks here, the verdicts wanted) of the whole book."""
    gc.disable()  # nothing here is cyclic, and the collector is most of the time in a bulk read
    casks, verdicts = 0, []
    for here, found in _judged(book):
        casks += here
        verdicts += [verdict for verdict in found if wanted.passes(verdict)]
    gc.enable()
    return casks, verdicts


def _judged(book: Book) -> Iterator[tuple[bool, list[Verdict]]]:
    """(whether it is here, its verdicts) of every cask that goes on under its own number."""
    from caskbook.cli.whole_book import lives_of
    from caskbook.due import judge
    from caskbook.due.losses import BookLosses
    from caskbook.life.facts import facts_of

    losses = BookLosses(book.ledger.house, book.day)
    judged: list[tuple[bool, list[Verdict]]] = []
    for life in lives_of(book):
        facts = facts_of(life)
        losses.add(life, facts)
        judged.append((facts.is_here, judge(life, facts)))
    for (here, verdicts), (number, loss, running) in zip(judged, losses.judged(), strict=True):
        again = _with_losses(book, number, running) if running else verdicts
        yield here, [*again, *([loss] if loss else [])]


def _with_losses(book: Book, number: str, running: int) -> list[Verdict]:
    """The verdicts on a cask of which several fills running lost too much."""
    from caskbook.due import judge
    from caskbook.life.facts import facts_of

    cask = book.ledger.get(number).cask
    assert cask is not None
    life = book.ledger.life_of(cask, book.day)
    return judge(life, facts_of(life), excess_losses=running)


def _print(form: str, header: str, shown: Sequence[Judged], chosen: dict[str, Any]) -> None:
    from caskbook.render import due as render

    if form == "text":
        plain = not (chosen["soon"] or chosen["unknown"] or chosen["every"])
        out = screen()
        write_text(render.due_text(shown, header, width=out.width, top=chosen["top"] or _USUAL_TOP, show_verdict=not plain), out)
        return
    cut = shown[: chosen["top"]] if chosen["top"] else shown
    write_data(render.due_json(cut) if form == "json" else render.due_csv(cut))


def _header(day: date, casks: int, count: Counter[str]) -> str:
    parts = [f"{count['due']} due", f"{count['blocked']} blocked"]
    parts += [f"{count['soon'] + count['at-emptying']} soon or at emptying (--soon)"] if count["soon"] + count["at-emptying"] else []
    parts += [f"{count['unknown']} unknown (--unknown)"] if count["unknown"] else []
    return f"due on {day} · {casks} cask{'s' * (casks != 1)} here · " + ", ".join(parts)
