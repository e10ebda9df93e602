"""Who did it: crew and outside shops; and who sold the cask. Imported events are not judged, nor those that no longer count."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from caskbook.checks.context import HEAD, View, fault, head_value_fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.model.house_parts import strange_signature
from caskbook.model.invalid import nearest, shown
from caskbook.model.jobs import Event
from caskbook.words.job_table import jobs_with
from caskbook.words.spelling import fold

_APPROVED = jobs_with("approved")


def signed(view: View) -> Iterable[Fault]:
    """Who signed each event: one look at each, four ways to be wrong."""
    crew, shops = view.context.crew()
    once = view.context.once
    for event, row in view.standing:
        name = event.by
        here = once.get(name)
        if here is not None and here[0] <= event.date <= here[1] or event.source is not None:
            continue
        found = None
        if name is None:
            found = None if view.is_spoiled(row, "by") else _nobody(event, row)
        elif name.startswith("shop-"):
            found = _shop(event, row, name, shops)
        elif crew and name not in crew:
            found = _stranger(event, row, name, list(crew))
        elif crew and not any(start <= event.date <= end for start, end in crew[name]) and not view.is_spoiled(row, "date"):
            found = _not_then(event, row, name, crew[name])
        if found is not None:
            yield found


def _nobody(event: Event, row: int) -> Fault:
    """by-missing: an event does not say who did it.

    Why: an auditor asks who; a year later nobody knows.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, verdict: accept}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
    """
    return fault(row, "by-missing", f"{event.job} without `by`: expected initials of the crew", "add `by:` with the initials of who did it", "by", of=event)


def _stranger(event: Event, row: int, name: str, crew: list[str], field: str = "by") -> Fault:
    """unknown-crew: initials that are not in the house's crew list.

    Why: a slip of the pen, or somebody not yet in house.yaml; crew are never removed from it.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ba, verdict: accept}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
    """
    near = nearest(name, crew)
    hint = f"write `{near}` if you meant that" if near else "correct the initials, or add them to crew in house.yaml"
    return fault(row, "unknown-crew", f"`{field}` is {shown(name)}: nobody of the crew", hint, field, of=event)


def _shop(event: Event, row: int, name: str, shops: frozenset[str]) -> Fault | None:
    """unknown-shop: an outside shop that is not in the house's list.

    Why: work done outside is judged by the shop's name; two spellings are two shops.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-03, job: send, by: ab, to: weir, why: new heads}
        - {id: e1000002, date: 2020-01-09, job: open, by: shop-wier, heads: [A, B]}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-03, job: send, by: ab, to: weir, why: new heads}
        - {id: e1000002, date: 2020-01-09, job: open, by: shop-weir, heads: [A, B]}
    """
    short = name.removeprefix("shop-")
    if not shops or short in shops or name in shops:
        return None
    near = nearest(short, sorted(shops))
    hint = f"write `shop-{near.removeprefix('shop-')}` if you meant that" if near else "correct it, or add the shop to house.yaml"
    return fault(row, "unknown-shop", f"`by` is {shown(name)}: no shop of the house", hint, "by", of=event)


def _not_then(event: Event, row: int, name: str, known: list[tuple[date, date]], field: str = "by") -> Fault:
    """crew-not-yet-or-no-longer: somebody of the crew, but not on that day.

    Why: entries of those who left stay good; an entry after they left, or before they came, has a wrong day or wrong initials.
    Wrong:
        # house.yaml
        crew: [{initials: ab}, {initials: mo, from: 2015-01-01, until: 2019-12-31}]
        # TH-004217
        - {id: e1000001, date: 2020-01-01, job: receive, by: mo, verdict: accept}
    Right:
        # house.yaml
        crew: [{initials: ab}, {initials: mo, from: 2015-01-01, until: 2019-12-31}]
        # TH-004217
        - {id: e1000001, date: 2019-01-01, job: receive, by: mo, verdict: accept}
    """
    start, end = known[-1]
    told = f"of the crew until {end}" if event.date > end else f"of the crew from {start}"
    return fault(
        row,
        "crew-not-yet-or-no-longer",
        f"`{field}` is {shown(name)} on {event.date}: {told}",
        "correct the day or the initials, or the days in house.yaml",
        field,
        of=event,
    )


def approved(view: View) -> Iterable[Fault]:
    """Initials under an approval, held against the crew as those of who did the work are: `unknown-crew`, `crew-not-yet-or-no-longer`. A name that is
    written out may be anybody's."""
    crew, people = view.context.crew()[0], view.context.settings.crew
    for job in _APPROVED:
        for event, row in view.of(job):
            name = event.approved_by  # type: ignore[attr-defined]
            if name is None or event.source is not None or view.is_spoiled(row, "approved_by"):
                continue
            if strange_signature(people, name):
                yield _stranger(event, row, name, list(crew), "approved_by")
            elif not view.is_spoiled(row, "date") and name in crew and not _there(crew[name], event.date):
                yield _not_then(event, row, name, crew[name], "approved_by")


def _there(known: list[tuple[date, date]], day: date) -> bool:
    return any(first <= day <= last for first, last in known)


def supplier(view: View) -> Iterable[Fault]:
    """supplier-spelled-otherwise: the supplier in a head is nearly, and not just so, one of the house's suppliers.

    Why: two spellings are two suppliers: claims are then due by the usual days, not by those of the supplier, and no list has all its casks.
    Wrong:
        # house.yaml
        suppliers: {northquay: {claim_days: 60}}
        # TH-004217
        {cask: TH-004217, format: 1, type: barrel, supplier: NorthQuay, events: []}
    Right:
        # house.yaml
        suppliers: {northquay: {claim_days: 60}}
        # TH-004217
        {cask: TH-004217, format: 1, type: barrel, supplier: northquay, events: []}
    """
    name, known = view.cask.head.supplier, view.context.settings.suppliers
    if name is None or name in known or view.is_spoiled(HEAD, "supplier"):
        return
    alike = next((one for one in known if fold(one) == fold(name)), None) or nearest(name, [*known])
    if alike is not None:
        message = f"`supplier` is {shown(name)}: the house has {shown(alike)}"
        yield head_value_fault(
            view, "supplier-spelled-otherwise", message, f"write `{alike}` if you meant that, or add it to suppliers in house.yaml", "supplier"
        )


RULES = (
    Rule(signed, {"by-missing": "warning", "unknown-crew": "warning", "unknown-shop": "warning", "crew-not-yet-or-no-longer": "warning"}),
    Rule(approved, {"unknown-crew": "warning", "crew-not-yet-or-no-longer": "warning"}, on=_APPROVED),
    Rule(supplier, {"supplier-spelled-otherwise": "warning"}),
)
