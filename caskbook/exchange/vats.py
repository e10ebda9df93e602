"""Vats of a register: what its casks were filled with out of each on a day, with what the book has of it, held against what it held."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from caskbook.checks.naming_files import files_naming
from caskbook.checks.vats import Account, Pour, accounts, pours_of
from caskbook.core.vat_names import vat_key
from caskbook.exchange.reading import RowFault
from caskbook.exchange.register_map import RegisterMap
from caskbook.ledger.files import Ledger
from caskbook.model.jobs.base import listed, plain


@dataclass(frozen=True, slots=True)
class RowPour:
    """The filling of a row out of a vat: the row, its cask, and what is said of it."""

    row: int
    pour: Pour


def pours_in(row: int, cask: str, events: Iterable[Mapping[str, Any]]) -> Iterator[RowPour]:
    """What the entries of a row tell of vats."""
    for event in events:
        if event.get("job") == "fill" and "vat" in event:
            yield RowPour(row, Pour(event["vat"], event["date"], event["litres"], event.get("vat_litres"), f"row {row}", cask, row))


def hold_vats(poured: Iterable[RowPour], ledger: Ledger, chart: RegisterMap) -> tuple[list[RowFault], list[str]]:
    """(a fault for each row of a vat whose casks of a day hold more than it held, or of which two figures are said; for each of which
    something is in none of them a line that says so). What the book has of these vats and days counts too."""
    rows = {one.pour: one.row for one in poured}
    if not rows:
        return [], []
    wanted = {(vat_key(pour.vat), pour.day) for pour in rows}
    others = [pour for pour in _in_book(ledger, wanted) if pour.cask not in {one.cask for one in rows}]
    faults, left = list[RowFault](), list[str]()
    for account in accounts([*rows, *others], ledger.house):
        told = _differing(account) if len(account.said) > 1 else f"{account.says()}: more than it held" if account.over else ""
        if told:
            key, code = ("vat_litres", "vat-litres-differ") if len(account.said) > 1 else ("vat", "vat-overdrawn")
            heading, remedy = chart.headings_of(key) or key, "which of them is wrong? put its litres, its vat or its day right, or make the vat's column a note"
            mine = [pour for pour in account.pours if pour in rows and (key == "vat" or pour.held is not None)]
            faults += [RowFault(rows[pour], heading, _found(pour, key), code, told, remedy, pour.cask) for pour in mine]
        elif account.under:
            left.append(f"{account.says()}: {(account.held or 0) - account.litres:.1f} L in none of them")
    return faults, left


def _differing(account: Account) -> str:
    said = listed([f"{plain(litres)} L" for litres in account.said])
    return f"vat {account.vat} on {account.day} is said to have held {said}"


def _found(pour: Pour, key: str) -> str:
    return pour.vat if key == "vat" else f"{plain(pour.held or 0)} L"


def _in_book(ledger: Ledger, wanted: set[tuple[str, date]]) -> Iterator[Pour]:
    """What casks of the book were filled with out of these vats on these days."""
    known = ledger.vats_known() if ledger.vats_known is not None else None
    for name in files_naming(ledger, ("vat",), known):
        cask = ledger.read_file(name).own
        if cask is not None:
            yield from (pour for pour in pours_of(cask) if (vat_key(pour.vat), pour.day) in wanted)
