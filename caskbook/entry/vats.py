"""What a run draws out of vats, with what other casks have of them that day: told with its figures, and doubted where it is too much."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from caskbook.checks.vats import Account
    from caskbook.entry.plan import Desk, Plan


def vat_lines(desk: Desk, plan: Plan) -> Iterator[str]:
    """How much of each vat is in casks now, once the run is written."""
    yield from (account.says() for account in _accounts(desk, plan) if not _doubt(account))


def vat_doubts(desk: Desk, plan: Plan) -> Iterator[str]:
    """Vats of which the casks of a day would have more than they held, or which two casks say different litres of."""
    yield from filter(None, map(_doubt, _accounts(desk, plan)))


def _doubt(account: Account) -> str:
    from caskbook.model.jobs.base import listed, plain

    if len(account.said) > 1:
        return f"vat {account.vat} on {account.day} is said to have held {listed([f'{plain(litres)} L' for litres in account.said])}"
    return f"{account.says()}: more than it held" if account.over else ""


def _accounts(desk: Desk, plan: Plan) -> list[Account]:
    """What goes out of the vats of this run, with the casks that were filled from them on the same days; as far as those are known soon."""
    named = {(event["vat"], event["date"]) for _, event in plan.written if event["job"] == "fill" and event.get("vat")}
    if not named:
        return []
    from caskbook.checks.vats import accounts, pours_of
    from caskbook.core.vat_names import vat_key

    wanted = {(vat_key(vat), day) for vat, day in named}
    casks = [page.cask for page in plan.pages]
    mine = {page.name for page in plan.pages}
    for name in dict.fromkeys(name for vat in sorted({vat for vat, _ in named}) for name in desk.files_of_vat(vat) or ()):
        if name not in mine and (cask := desk.ledger.read_file(name).own) is not None:
            casks.append(cask)
    found = [pour for cask in casks for pour in pours_of(cask)]
    return accounts((pour for pour in found if (vat_key(pour.vat), pour.day) in wanted), desk.ledger.house)
