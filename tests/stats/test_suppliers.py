"""The account of suppliers by hand."""

from __future__ import annotations

from datetime import date

import pytest

from caskbook.core.period import Period
from caskbook.due.receipts import FAILED, FILLED_FIRST, NOT_YET, PASSED, Received
from caskbook.stats.suppliers import Cask, Loss, Share, suppliers_of

DAY = date(2026, 6, 30)


def cask(number: int, supplier: str | None = "northquay", parcel: str | None = "P-1", *, losses: tuple[Loss, ...] = (), **told: object) -> Cask:
    plain: dict[str, object] = {
        "day": date(2026, 6, 1), "claims_to": date(2026, 7, 1), "tested": None, "result": NOT_YET, "examined": None, "faults": (), "decided": "", "left": None,
    }  # fmt: skip
    return Cask(f"TH-{number:06d}", supplier, parcel, Received(**(plain | told)), losses)  # type: ignore[arg-type]


def tried(number: int, result: str, day: date = date(2026, 6, 3), supplier: str | None = "northquay", parcel: str = "P-1") -> Cask:
    return cask(number, supplier, parcel, tested=day, result=result)


def test_each_share_has_its_own_denominator() -> None:
    casks = [tried(1, FAILED), tried(2, PASSED), tried(3, PASSED, supplier="ashgarth"), cask(4, result=FILLED_FIRST), cask(5, faults=(DAY,), decided="claimed")]
    found = suppliers_of([*casks, Cask("TR-000001", None, None, None)], "supplier", DAY, 15)
    assert [(one.name, one.received, one.failed, dict(one.untested)) for one in found.groups] == [
        ("northquay", 4, (1, 2), {FILLED_FIRST: 1, NOT_YET: 1}), ("ashgarth", 1, (0, 1), {}),
    ]  # fmt: skip
    assert (found.whole.received, found.whole.failed, found.not_received) == (5, (1, 3), 1)
    assert (found.whole.found, found.whole.decided) == (Share(1, 5), 1)


def test_what_is_surely_worse_comes_first_and_the_unknown_last() -> None:
    bad = [tried(n, FAILED if n % 2 else PASSED, parcel="P-2") for n in range(30)]
    one = [tried(100, FAILED, parcel="P-3"), tried(101, PASSED, parcel="P-1")]
    unknown = [Cask("TH-9", None, None, tried(102, FAILED).received)]
    found = suppliers_of([*one, *bad, *unknown], "parcel", DAY, 15)
    assert [(group.name, group.failed.small) for group in found.groups] == [("P-2", False), ("P-3", True), ("P-1", True), ("?", True)]


def test_the_calendar_has_what_can_still_be_claimed() -> None:
    casks = [
        cask(1, examined=DAY), cask(2, faults=(DAY,)), cask(3, claims_to=DAY), cask(4, claims_to=date(2026, 6, 29)), cask(5, left=DAY),
        cask(6, faults=(DAY,), decided="refused", examined=DAY),
    ]  # fmt: skip
    found = suppliers_of(casks, "supplier", DAY, 15)
    assert [(one.to, one.casks, one.unexamined, one.undecided) for one in found.claims] == [
        (DAY, 1, ("TH-000003",), ()), (date(2026, 7, 1), 3, ("TH-000002",), ("TH-000002",)),
    ]  # fmt: skip
    assert (found.whole.running, found.whole.unexamined, found.left) == (4, 2, 1)


def test_without_a_last_day_nothing_runs_and_nothing_can_be_found() -> None:
    found = suppliers_of([cask(1, claims_to=None), cask(2, faults=(DAY,))], "supplier", DAY, 15)
    assert (found.whole.received, found.whole.found, found.whole.running) == (2, Share(1, 1), 1)


def test_a_fill_is_held_against_a_kind_that_is_large_enough() -> None:
    losses = (Loss(0.03, 0.02, 15), Loss(0.02, 0.02, 15), Loss(0.01, 0.02, 15), Loss(0.5, 0.02, 14), Loss(0.5, 0.0, 99))
    found = suppliers_of([cask(1, losses=losses)], "supplier", DAY, 15).whole
    assert (found.more, found.times, found.apart) == (Share(1, 3), 1.0, 2)


def test_the_months_are_those_of_the_tests() -> None:
    casks = [tried(1, FAILED, date(2026, 4, 30)), tried(2, PASSED, date(2026, 4, 1)), tried(3, FAILED, date(2026, 6, 1)), cask(4)]
    chart = suppliers_of(casks, "supplier", DAY, 15).chart
    assert [(one.month, one.found, one.of) for one in chart.months] == [("2026-04", 1, 2), ("2026-05", 0, 0), ("2026-06", 1, 1)]


def test_nothing_at_all_has_no_share() -> None:
    found = suppliers_of([], "supplier", DAY, 15)
    assert (found.groups, found.whole.failed.part, found.whole.failed.interval, found.whole.times) == ((), None, None, None)


@pytest.mark.parametrize(("day", "counts"), [("2026-04-30", 0), ("2026-05-01", 1), ("2026-05-31", 1), ("2026-06-01", 0)])
def test_a_cask_received_on_the_first_and_on_the_last_day_of_a_period_counts_with_all_that_followed(day: str, counts: int) -> None:
    may = Period(date(2026, 5, 1), date(2026, 5, 31), DAY)
    one = cask(1, day=date.fromisoformat(day), tested=DAY, result=FAILED, faults=(DAY,), losses=(Loss(0.03, 0.02, 15),))
    found = suppliers_of([one, Cask("TR-000001", None, None, None)], "supplier", DAY, 15, may)
    assert (found.whole.received, found.other_days, found.not_received) == (counts, 1 - counts, 1)
    assert (found.whole.failed, found.whole.found, found.whole.more) == (Share(counts, counts), Share(counts, counts), Share(counts, counts))
    assert [month.month for month in found.chart.months] == ["2026-06"] * counts and len(found.claims) == counts
