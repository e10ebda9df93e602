"""A walk along a row held against the book, as text, JSON or CSV."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from caskbook.entry.round import Compared, Told, What
from caskbook.entry.round_steps import Step
from caskbook.render.console import flow, safe
from caskbook.render.plain_json import safe_json
from caskbook.render.table import table_csv
from caskbook.words.plural import number_of

Due = Mapping[str, Sequence[tuple[str, str, str]]]
_HEADS: tuple[tuple[What, str], ...] = (
    ("missing", "in the book here, and not seen"),
    ("not-read", "of this row in the book, and in a line that was not read: not missing, and nobody knows where it stands"),
    ("missing-before", "not seen, and missing in the book already"),
    ("elsewhere", "seen here, and the book has it elsewhere"),
    ("other-berth", "of this row, at another berth than in the book, or out of order"),
    ("found", "seen here, and missing in the book"),
    ("away", "seen here, and away in the book"),
    ("gone", "seen here, and gone in the book"),
    ("not-in-the-book", "seen here, and not in the book at all"),
    ("unreadable", "seen here, and its file cannot be read"),
)
_COLUMNS = ("cask", "what", "book_berth", "seen_at", "between", "type", "state", "said_at", "due")


def round_text(found: Compared, day: date, unread: Sequence[tuple[str, str]], due: Due, todo: Sequence[Step], width: int | None) -> str:
    """What the row lacks and has too much, then what is due on those seen, the counts, and what to type; `width` None wraps nothing."""
    agrees = "the row is as the book has it" if found.agrees and not unread else "the row and the book do not agree"
    lines = [f"round {safe(str(found.row))} on {day}: {agrees}"]
    for what, says in _HEADS:
        if some := found.of(what):
            lines += ["", *flow([f"{what}  {len(some)}: {says}"], width), *(line for one in some for line in _cask_lines(one, width))]
    if found.empty:
        lines += ["", *flow([f"empty  {len(found.empty)}: seen here, and empty in the book, which has most of the row full"], width)]
        lines += [line for one in found.empty for line in _cask_lines(one, width)]
    lines += _oddities(found, unread, width)
    lines += _due_lines(found, due, width)
    lines += ["", *(line for text in _counts(found, unread) for line in flow([text], width))]
    if todo:
        if found.of("missing") and not found.all_known:
            lines += [
                "",
                *flow(
                    ["a line was not read, or a number is not in the book, so that nobody can tell which cask is missing: none is entered as missing"], width
                ),
            ]
        lines += ["", "to put it right, what is true of it:", *(f"  {safe(step.line)}" for step in todo)]
    return "\n".join(lines)


def _cask_lines(one: Told, width: int | None) -> list[str]:
    """A cask, where the book has it, where it was seen, and what it is."""
    known = one.known
    parts = [one.cask]
    if known is not None and known.whereabouts is not None:
        parts += [f"book: {known.berth}" if known.berth else "book: no berth"]
    if one.what not in ("not-read", "missing", "missing-before"):
        parts += [where] if (where := _where(one)) else []
    if known is not None:
        parts.append(", ".join(word for word in (known.type, known.state) if word))
    first, *rest = flow([part for part in parts if part], None if width is None else width - 2, between="  ")
    return [f"  {first}", *(f"    {line}" for line in rest)]


def _where(one: Told) -> str:
    before, after = one.between
    if one.seen_at is not None:
        return f"seen at {one.seen_at}" + (f", between {before} and {after}" if before and after else "")
    if before and after:
        return f"seen between {before} and {after}"
    return f"seen behind {before}" if before else f"seen before {after}" if after else ""


def _oddities(found: Compared, unread: Sequence[tuple[str, str]], width: int | None) -> list[str]:
    """Scanned twice, two at one berth, lines without a cask, and a walk that was none along the row."""
    said = [f"scanned more than once: {cask}" + (f", at {' and at '.join(berths)}" if len(berths) > 1 else "") for cask, berths in found.again.items()]
    said += [f"several at {berth}: {', '.join(casks)}" for berth, casks in found.shared.items()]
    said += [f"not read: {text}  ({why})" for text, why in unread]
    if not found.ordered and len(found.of("in-place")) > 1:
        said.append("not scanned along the row, up or down: the order tells nothing of where a cask stands (7005 at 3 does)")
    return ["", *(line for text in said for line in flow([text], width))] if said else []


def _due_lines(found: Compared, due: Due, width: int | None) -> list[str]:
    """What is due on the casks seen, a look first."""
    rows = [(rule, verdict, one.cask, reason) for one in found.seen for rule, verdict, reason in due.get(one.cask, ())]
    if not rows:
        return []
    rows.sort(key=lambda row: row[0] != "look")
    lines = ["", f"due on {number_of(len({row[2] for row in rows}), 'cask')} of those seen:"]
    for rule, verdict, cask, reason in rows:
        word = rule + (" blocked" if verdict == "blocked" else "")
        first, *rest = flow([f"{cask}  {word}: {reason}"], None if width is None else width - 4)
        lines += [f"  {first}", *(f"    {line}" for line in rest)]
    return lines


def _counts(found: Compared, unread: Sequence[tuple[str, str]]) -> list[str]:
    """ "book: 8 here = 5 in place + 1 at another berth + 2 missing", and the same of the lines scanned."""
    place, other, gone = (len(found.of(what)) for what in ("in-place", "other-berth", "missing"))
    lost = found.not_read_here
    book = f"book: {found.in_book} here = {place} in place + {other} at another berth + {gone} missing" + (f" + {lost} not read" if lost else "")
    parts = [f"{place + other} of this row"]
    for what, word in (("elsewhere", "from elsewhere"), ("found", "found again"), ("away", "away"), ("gone", "gone"), ("not-in-the-book", "not in the book"), ("unreadable", "unreadable")):  # fmt: skip
        parts += [f"{count} {word}"] if (count := len(found.of(what))) else []  # type: ignore[arg-type]
    again = found.scans - len(found.seen)
    parts += [f"{again} again"] if again else []
    parts += [f"{len(unread)} not read"] if unread else []
    return [book, f"scanned: {found.scans + len(unread)} = {' + '.join(parts)}"]


def _rows(found: Compared, due: Due) -> Iterator[list[Any]]:
    for one in found.told:
        known = one.known
        between = [berth for berth in one.between if berth]
        yield [
            one.cask, one.what, one.book_berth, one.seen_at, between or None, known.type if known else None, known.state if known else None,
            list(found.again.get(one.cask, ())) or None, [rule for rule, _, _ in due.get(one.cask, ())] or None,
        ]  # fmt: skip


def round_csv(found: Compared, due: Due) -> str:
    """One row a cask."""
    return table_csv(_COLUMNS, list(_rows(found, due)))


def round_json(found: Compared, day: date, unread: Sequence[tuple[str, str]], due: Due, todo: Sequence[Step]) -> str:
    """All of it in one object: the counts close, `casks` has each cask once."""
    counts: dict[str, int] = {what: len(found.of(what)) for what in ("in-place", *(what for what, _ in _HEADS))}
    data = {
        "round": list(found.row.berths),
        "as_of": day.isoformat(),
        "agrees": found.agrees and not unread,
        "in_book": found.in_book,
        "scanned": found.scans + len(unread),
        "again": found.scans - len(found.seen),
        "not_read": [{"line": text, "why": why} for text, why in unread],
        "counts": counts,
        "in_order": found.ordered,
        "empty": [one.cask for one in found.empty],
        "several_at": {berth: list(casks) for berth, casks in found.shared.items()},
        "casks": [dict(zip(_COLUMNS, row, strict=True)) for row in _rows(found, due)],
        "to_do": [{"job": step.job, "casks": list(step.casks), "berths": list(step.berths), "certain": step.certain, "line": step.line} for step in todo],
    }
    return safe_json(json.dumps(data, ensure_ascii=False, indent=2))
