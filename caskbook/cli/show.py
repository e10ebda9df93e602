"""`show`: one cask's bench card, map, time line or facts."""

from __future__ import annotations

import json

from caskbook.cli.common import Book, joins_of, one_of, open_book, say, screen, write, write_text
from caskbook.due import judge
from caskbook.finding import CaskbookError
from caskbook.life.facts import facts_of
from caskbook.record import Record


def run(cask_id: str, records: str | None, as_of: str | None, at: str | None, form: str, *, every: bool, picture: bool, line: bool) -> int:
    """Print the card; 1 where the file has errors, which are named on stderr."""
    one_of("--format", form, ("text", "json"))
    book = open_book(records, as_of, at)
    record = book.ledger.get(cask_id.strip().upper())
    if record.cask is None:
        first = record.findings[0] if record.findings else None
        raise CaskbookError(f"{record.path} cannot be read: {first.message if first else 'no head'}; caskbook check {record.name}")
    joined = joins_of(book, at).get(record.cask.id)
    if joined and form == "json":
        write(json.dumps({"cask": record.cask.id, "joined": joined}, indent=2))
        return 0
    if joined:
        from caskbook.render.card import joined_card

        write(joined_card(record.cask.id, joined))
        return 0
    _show(book, record, form, every=every, picture=picture, line=line)
    errors = sum(finding.severity == "error" for finding in record.findings)
    if errors:
        say(f"{errors} error{'s' * (errors > 1)} in {record.path}: some entries are left out; caskbook check {record.name}")
    return 1 if errors else 0


def _show(book: Book, record: Record, form: str, *, every: bool, picture: bool, line: bool) -> None:
    assert record.cask is not None
    life = book.ledger.life_of(record.cask, book.day)
    facts = facts_of(life)
    if form == "json":
        from caskbook.render.facts_json import facts_json

        write(json.dumps(facts_json(life, facts), ensure_ascii=False, indent=2))
        return
    from caskbook.render import card, cask_map, time_line

    out = screen()
    if picture:
        write_text(cask_map.cask_map(life, width=out.width or 80), out)
    elif line:
        write_text(time_line.long_line(life, out.width or 80, ascii=out.ascii), out)
    else:
        verdicts = judge(life, facts)
        write_text(card.card_text(life, facts, verdicts, width=out.width, all_events=every, ascii=out.ascii), out)
