"""`report suppliers`: failed first tests, claims, loss against peers, by supplier or parcel."""

from __future__ import annotations

from typing import cast

from caskbook.cli.common import one_of
from caskbook.cli.judged_at import judged_at, put_out
from caskbook.cli.told import Asked, gathered, house_of, in_bulk
from caskbook.core.finding import CaskbookError
from caskbook.stats.suppliers import BY, By, Cask, suppliers_of
from caskbook.stats.suppliers_report import SuppliersReport, View


def run_suppliers(asked: Asked, *, by: str | None = None, months: bool = False, claims: bool = False) -> int:
    """Print what suppliers sent, divided by what `by` names; with `months` each month of the chart, with `claims` the whole calendar. Always 0."""
    if months and claims:
        raise CaskbookError("--months and --claims: expected one of them")
    name = cast(By, one_of("--by", by or "supplier", BY))
    with in_bulk():
        found = gathered(asked, ("receipt", "loss"), ("supplier", "parcel"))
        settings = house_of(found, asked).on(found.head.day)
        fewest = settings.due.loss.fewest_peers
        losses = {facts["cask"]: lost for facts, lost in found.told["loss"]}
        casks = (Cask(facts["cask"], facts["supplier"], facts["parcel"], one, losses.get(facts["cask"], ())) for facts, one in found.told["receipt"])
        account = suppliers_of(casks, name, found.head.day, fewest, found.head.asked)
    view: View = "months" if months else "claims" if claims else "all"
    days = {supplier: one.claim_days for supplier, one in sorted(settings.suppliers.items())}
    report = SuppliersReport(found.head, account, view, days, settings.due.claim.days, fewest)
    from caskbook.render import suppliers, suppliers_data

    put_out(
        asked.form,
        lambda width: suppliers.suppliers_text(report, width=width),
        lambda form: suppliers_data.suppliers_data(report, form),
        judged_at(asked.records, asked.at),
    )
    return 0
