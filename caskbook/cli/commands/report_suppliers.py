"""`report suppliers`: failed first tests, claims, loss against peers, by supplier or parcel."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, cast

from caskbook.cli.common import one_of
from caskbook.cli.gathered import gathered
from caskbook.cli.judged_at import put_out
from caskbook.cli.report_rows import Asked, houses_of, one_setting
from caskbook.core.finding import CaskbookError
from caskbook.ledger.parallel import no_collecting
from caskbook.stats.suppliers import BY, BY_OF_SEVERAL, By, Cask, suppliers_of
from caskbook.stats.suppliers_report import SuppliersReport, View

if TYPE_CHECKING:
    from caskbook.model.house import Settings


def run_suppliers(asked: Asked, *, by: str | None = None, months: bool = False, claims: bool = False) -> int:
    """Print what suppliers sent, divided by what `by` names; with `months` each month of the chart, with `claims` the whole calendar. Always 0."""
    if months and claims:
        raise CaskbookError("--months and --claims: expected one of them")
    name = cast(By, one_of("--by", by or "supplier", BY_OF_SEVERAL if isinstance(asked.records, tuple) else BY))
    with no_collecting():
        found = gathered(asked, ("receipt", "loss"), ("supplier", "parcel"))
        settings = houses_of(found, asked)
        fewest = one_setting({name: one.due.loss.fewest_peers for name, one in settings.items()}, "due.loss.fewest_peers", "suppliers")
        losses = {facts["cask"]: lost for facts, lost in found.told["loss"]}
        casks = (Cask(facts["cask"], facts["supplier"], facts["parcel"], one, losses.get(facts["cask"], ())) for facts, one in found.told["receipt"])
        account = suppliers_of(casks, name, found.head.day, fewest, found.head.asked)
    view: View = "months" if months else "claims" if claims else "all"
    report = SuppliersReport(found.head, account, view, *_claim_days(settings), fewest)
    from caskbook.render import suppliers, suppliers_data

    put_out(
        asked.form,
        lambda width: suppliers.suppliers_text(report, width=width),
        lambda form: suppliers_data.suppliers_data(report, form),
        asked.revision,
    )
    return 0


def _claim_days(settings: Mapping[str, Settings]) -> tuple[dict[str, int], int | dict[str, int]]:
    """(supplier → the days in which it takes claims, those of any other): where houses differ each behind its ledger. `settings`: ledger → those of its house."""
    named = {(ledger, supplier): of.claim_days for ledger, one in settings.items() for supplier, of in one.suppliers.items()}
    days: dict[str, int] = {}
    for ledger, supplier in sorted(named, key=lambda pair: pair[::-1]):
        differ = len({count for (_, other), count in named.items() if other == supplier}) > 1
        days[f"{ledger}:{supplier}" if differ else supplier] = named[ledger, supplier]
    others = {ledger: one.due.claim.days for ledger, one in settings.items()}
    return days, others if len(set(others.values())) > 1 else next(iter(others.values()))
