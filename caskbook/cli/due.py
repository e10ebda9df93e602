"""`due`: what is due in the whole book, ranked."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Iterator
from typing import Any

from caskbook.cli.common import Book, one_of, open_book, say, screen, write, write_text
from caskbook.due import RULES, Verdict, judge, ranked
from caskbook.finding import CaskbookError
from caskbook.life.facts import facts_of

_USUAL_TOP = 40


def run(records: str | None, as_of: str | None, at: str | None, form: str, chosen: dict[str, Any], *, fail_if_any: bool) -> int:
    """Print the list; 1 where something is due and --fail-if-any was given."""
    one_of("--format", form, ("text", "json", "csv"))
    names = [rule.name for rule in RULES]
    for rule in chosen["rules"]:
        if rule not in names:
            raise CaskbookError(f"{rule} is no due rule: expected one of {', '.join(names)}")
    book = open_book(records, as_of, at)
    casks, verdicts = _gather(book, chosen)
    shown = ranked([verdict for verdict in verdicts if _wanted(verdict, chosen)])
    _print(book, form, casks, verdicts, shown, chosen)
    return 1 if fail_if_any and any(verdict.verdict == "due" for verdict in shown) else 0


def _gather(book: Book, chosen: dict[str, Any]) -> tuple[int, list[Verdict]]:
    gc.disable()  # nothing here is cyclic, and the collector is most of the time in a bulk read
    casks, verdicts = 0, []
    for here, found in _judged(book):
        casks += here
        verdicts += [verdict for verdict in found if _asked(verdict, chosen)]
    gc.enable()
    return casks, verdicts


def _judged(book: Book) -> Iterator[tuple[int, list[Verdict]]]:
    joined = book.ledger.joins()
    for record in book.ledger.records():
        if record.cask is None:
            say(f"{record.path} cannot be read and is left out; caskbook check {record.name}")
            continue
        if record.cask.id in joined:
            continue
        life = book.ledger.life_of(record.cask, book.day)
        facts = facts_of(life)
        if life.begun:
            yield facts.state not in ("gone", "away", "missing"), judge(life, facts)


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


def _print(book: Book, form: str, casks: int, verdicts: list[Verdict], shown: list[Verdict], chosen: dict[str, Any]) -> None:
    from caskbook.render import due as render

    if form == "text":
        header = _header(book, casks, verdicts)
        plain = not (chosen["soon"] or chosen["unknown"] or chosen["every"])
        out = screen()
        write_text(render.due_text(shown, header, width=out.width, top=chosen["top"] or _USUAL_TOP, show_verdict=not plain), out)
        return
    cut = shown[: chosen["top"]] if chosen["top"] else shown
    write(render.due_json(cut) if form == "json" else render.due_csv(cut))


def _header(book: Book, casks: int, verdicts: list[Verdict]) -> str:
    count = Counter(verdict.verdict for verdict in verdicts)
    parts = [f"{count['due']} due", f"{count['blocked']} blocked"]
    parts += [f"{count['soon'] + count['at-emptying']} soon or at emptying (--soon)"] if count["soon"] + count["at-emptying"] else []
    parts += [f"{count['unknown']} unknown (--unknown)"] if count["unknown"] else []
    return f"due on {book.day} · {casks} cask{'s' * (casks != 1)} here · " + ", ".join(parts)
