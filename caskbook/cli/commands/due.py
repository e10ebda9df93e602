"""`due`: what is due in the whole book, ranked."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import closing
from datetime import date
from typing import TYPE_CHECKING, Any

from caskbook.cli.common import (
    Book,
    index_answer,
    one_of,
    open_book,
    say,
    screen,
    type_word,
    write,
    write_text,
)
from caskbook.cli.remarks import say_left_out, say_no_casks
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.due import Verdict
    from caskbook.index.lookup import Answer
    from caskbook.render.verdict import Judged

_USUAL_TOP = 40


def run(records: str | None, as_of: str | None, at: str | None, form: str, chosen: dict[str, Any], *, fail_if_any: bool) -> int:
    """Print the list; 1 where something is due and --fail-if-any was given."""
    one_of("--format", form, ("text", "json", "csv"))
    chosen["types"] = [type_word(word) for word in chosen["types"]]
    answer = index_answer(records, as_of, at)
    shown = _closing(answer, form, chosen) if answer is not None else None
    if shown is None:
        shown = _by_files(records, as_of, at, form, chosen)
    verdicts, gone = shown
    return 1 if fail_if_any and (gone or any(verdict.verdict == "due" for verdict in verdicts)) else 0


_Shown = tuple[Sequence["Judged"], bool]
"""The verdicts printed, and whether the casks themselves are gone."""


def _nothing_there(chosen: dict[str, Any], count: Counter[str]) -> None:
    """A filter that no cask passes is more likely misspelt than good news."""
    if not sum(count.values()) and (chosen["berth"] or chosen["types"]):
        asked = [f"--berth {chosen['berth']}"] * bool(chosen["berth"]) + [f"--type {word}" for word in chosen["types"]]
        say(f"no cask here fits {' '.join(asked)}; capitals and small letters count in a berth")


def _known(rules: Sequence[str], names: list[str]) -> None:
    for rule in rules:
        if rule not in names:
            raise CaskbookError(f"{rule} is no due rule: expected one of {', '.join(names)}")


def _closing(answer: Answer, form: str, chosen: dict[str, Any]) -> _Shown | None:
    """None where the index turns out to be damaged; another is begun."""
    from caskbook.index.store import anew_if_damaged

    with anew_if_damaged(answer.asked.root), closing(answer):
        return _by_index(answer, form, chosen)
    return None


def _by_index(answer: Answer, form: str, chosen: dict[str, Any]) -> _Shown:
    """What the index knows; the same as from the files."""
    from caskbook.index.listing import Filter, counts, due_rows, wanted_words

    _known(chosen["rules"], [name for name, _ in answer.rules])
    for name in answer.unreadable:
        _left_out(answer.shown + name, name.rpartition("/")[2].removesuffix(".yaml"))
    asked = Filter(tuple(chosen["rules"]), tuple(chosen["types"]), chosen["berth"])
    casks, count = counts(answer, asked)
    _nothing_there(chosen, count)
    shown = due_rows(answer, asked, wanted_words(chosen))
    say_left_out(answer.asked.root, answer.asked.revision, answer.overlooked)
    gone = not casks and say_no_casks(answer.asked.root, answer.asked.revision)
    _print(form, _header(answer.day, casks, count), shown, chosen)
    return shown, gone


def _left_out(path: str, name: str) -> None:
    say(f"{path} cannot be read and is left out; caskbook check {name}")


def _by_files(records: str | None, as_of: str | None, at: str | None, form: str, chosen: dict[str, Any]) -> _Shown:
    """The same, worked out from every file."""
    from caskbook.due import RULES, ranked

    _known(chosen["rules"], [rule.name for rule in RULES])
    book = open_book(records, as_of, at)
    casks, verdicts = _gather(book, chosen)
    _nothing_there(chosen, Counter(verdict.verdict for verdict in verdicts))
    shown = ranked([verdict for verdict in verdicts if _wanted(verdict, chosen)])
    say_left_out(book.root, at)
    gone = not casks and say_no_casks(book.root, at)
    _print(form, _header(book.day, casks, Counter(verdict.verdict for verdict in verdicts)), shown, chosen)
    return shown, gone


def _gather(book: Book, chosen: dict[str, Any]) -> tuple[int, list[Verdict]]:
    gc.disable()  # Nothing here is cyclic, and the collector would take most of the time of a bulk read.
    casks, verdicts = 0, []
    for here, found in _judged(book):
        casks += here
        verdicts += [verdict for verdict in found if _asked(verdict, chosen)]
    gc.enable()
    return casks, verdicts


def _judged(book: Book) -> Iterator[tuple[bool, list[Verdict]]]:
    """(whether it is here, its verdicts) of every cask that goes on under its own number."""
    from caskbook.due import judge
    from caskbook.due.losses import BookLosses
    from caskbook.life.facts import facts_of

    joined = book.ledger.joins()
    losses = BookLosses(book.ledger.house, book.day)
    judged: list[tuple[bool, list[Verdict]]] = []
    for record in book.ledger.records():
        cask = record.own
        if cask is None:
            _left_out(record.path, record.name)
            continue
        if cask.id in joined:
            continue
        life = book.ledger.life_of(cask, book.day)
        if life.begun:
            facts = facts_of(life)
            losses.add(life, facts)
            judged.append((facts.state not in ("gone", "away", "missing"), judge(life, facts)))
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


def _asked(verdict: Verdict, chosen: dict[str, Any]) -> bool:
    if chosen["rules"] and verdict.rule not in chosen["rules"]:
        return False
    if chosen["types"] and verdict.type not in chosen["types"]:
        return False
    return not chosen["berth"] or (verdict.berth or "").startswith(chosen["berth"])


def _wanted(verdict: Verdict, chosen: dict[str, Any]) -> bool:
    if chosen["every"] or verdict.verdict in ("due", "blocked"):
        return True
    if chosen["soon"] and verdict.verdict in ("soon", "at-emptying"):
        return True
    return bool(chosen["unknown"] and verdict.verdict == "unknown")


def _print(form: str, header: str, shown: Sequence[Judged], chosen: dict[str, Any]) -> None:
    from caskbook.render import due as render

    if form == "text":
        plain = not (chosen["soon"] or chosen["unknown"] or chosen["every"])
        out = screen()
        write_text(render.due_text(shown, header, width=out.width, top=chosen["top"] or _USUAL_TOP, show_verdict=not plain), out)
        return
    cut = shown[: chosen["top"]] if chosen["top"] else shown
    write(render.due_json(cut) if form == "json" else render.due_csv(cut))


def _header(day: date, casks: int, count: Counter[str]) -> str:
    parts = [f"{count['due']} due", f"{count['blocked']} blocked"]
    parts += [f"{count['soon'] + count['at-emptying']} soon or at emptying (--soon)"] if count["soon"] + count["at-emptying"] else []
    parts += [f"{count['unknown']} unknown (--unknown)"] if count["unknown"] else []
    return f"due on {day} · {casks} cask{'s' * (casks != 1)} here · " + ", ".join(parts)
