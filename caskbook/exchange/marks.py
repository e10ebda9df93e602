"""Numbers and old marks that stand twice: in a register, and in a register and the book. Which of two is meant a person has to say."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from caskbook.exchange.reading import RowFault, Values
from caskbook.ledger.files import Ledger
from caskbook.yaml.escapes import may_hold

_LISTED = 6


def numbers_twice(rows: Sequence[Values], heading: str) -> tuple[list[RowFault], set[int]]:
    """(a fault for each row whose number another row has too, the rows refused). Of rows that say the same throughout the first is taken."""
    places: dict[str, list[Values]] = {}
    for values in rows:
        if "cask" in values.known:
            places.setdefault(values.known["cask"][0], []).append(values)
    faults = []
    for cask, several in places.items():
        if len(several) < 2:
            continue
        alike = all(_said(one) == _said(several[0]) for one in several)
        for values in several[1:] if alike else several:
            others = _rows(one.row for one in several if one is not values)
            why = f"the same as row {several[0].row}, cell by cell" if alike else f"stands in {others} too, with other figures"
            remedy = "take one of them out" if alike else "which of them is it? give the other its own number"
            faults.append(RowFault(values.row, heading, cask, "number-twice", why, remedy, cask))
    return faults, {fault.row for fault in faults}


def _said(values: Values) -> object:
    return (values.known, values.marks, values.notes, values.kept, [(one.column, one.found) for one in values.faults])


def marks_twice(marked: Mapping[int, tuple[str, Sequence[str]]], ledger: Ledger, heading: str, *, book: bool) -> list[RowFault]:
    """A fault for each row that bears an old mark which another row bears, or, with `book`, another cask of the book: it may be the same cask
    under two numbers. `marked`: row → (cask, its marks)."""
    rows: dict[str, list[int]] = {}
    for row, (_, marks) in marked.items():
        for mark in {one.casefold() for one in marks}:
            rows.setdefault(mark, []).append(row)
    there = _in_book(ledger, set(rows)) if book and rows else {}
    faults = []
    for row, (cask, marks) in marked.items():
        for mark in marks:
            others = [one for one in rows[mark.casefold()] if one != row]
            known = [one for one in there.get(mark.casefold(), ()) if one != cask]
            if others or known:
                where = f"{known[0]} bears it in the book" if known else f"{_rows(others)} bears it too"
                remedy = "the same cask? then leave one out; where marks may repeat say `marks_repeat: true` in the map"
                faults.append(RowFault(row, heading, mark, "mark-twice", where, remedy, cask))
    return faults


def _in_book(ledger: Ledger, wanted: set[str]) -> dict[str, list[str]]:
    """Old mark, folded → casks whose head bears it, of those wanted."""
    found: dict[str, list[str]] = {}
    for name in ledger.names():
        data = ledger.file_store.read(name)
        if data is None or not may_hold(data, b"was"):
            continue
        record = ledger.read_file(name)
        if record.own is not None:
            for mark in record.own.head.was or []:
                if mark.casefold() in wanted:
                    found.setdefault(mark.casefold(), []).append(record.own.id)
    return found


def _rows(rows: Iterable[int]) -> str:
    numbers = sorted(rows)
    more = f" and {len(numbers) - _LISTED} more" if len(numbers) > _LISTED else ""
    return f"row{'s' * (len(numbers) > 1)} {', '.join(map(str, numbers[:_LISTED]))}{more}"
