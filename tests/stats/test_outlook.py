"""The outlook of small books made by hand: what is carried forward, what has no range, filters, seeds, and hours."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest

from caskbook.life.turns import Wood
from caskbook.stats.outlook import Around, Outlook, Terms, outlook_of
from caskbook.stats.outlook_book import Kind, OutlookBook, Standing, Tip, read_lines
from caskbook.stats.outlook_counts import AT_LIMIT, CLOSED, EXAMINED, FILLS, LEAKS, RETIRED, SERIES, TESTED, TIPS
from caskbook.stats.outlook_curves import curves_of
from caskbook.stats.outlook_flow import NOT_CHARRED, NOT_KNOWN, Flow, charring_of, left_of
from caskbook.stats.outlook_hours import hours_wanted
from caskbook.stats.stock import Limit

LAST = 24300
FIVE = Limit(5, 2)


def limit_of(kind: str) -> Limit | None:
    return None if kind == "butt" else FIVE


def lines(*, years: int = 10, full: int = 60, extra: dict[str, int] | None = None) -> Counter[str]:
    """A house of barrels and hogsheads: each month two come empty that lay 36 months, are examined and tested, and filled in the next month; a leak a month."""
    found: Counter[str] = Counter({f"A|barrel|{LAST - 12 * years}|0|1|0|0|": full + 2 * 12 * years})
    for month in range(LAST - 12 * years + 1, LAST + 1):
        found[f"F|barrel|{month - 36}|{month}|t|malt"] += 2
        found[f"N|barrel|{month}|{3 if month % 2 else 5}|0|0|{'-' if month == LAST else int(month % 2 == 0)}"] += 2
        if month < LAST:
            found[f"E|barrel|{month}|{month + 1}|f"] += 2
        found[f"X|examine|t|0|{month}"] += 2
        found[f"X|test|t|1|{month}"] += 2
        found[f"L|{month}|{month}"] += 1
    found[f"E|barrel|{LAST}|-|-"] += 2
    found[f"Q|barrel|{LAST}|5|0|0|malt"] += 2
    for back in range(36):
        found[f"F|barrel|{LAST - back}|-|-|malt"] += 2
        found[f"O|barrel|{LAST - back}|{5 if back % 2 else 3}|0|0|malt"] += 2
    return found + Counter(extra or {})


def book(**more: object) -> OutlookBook:
    return read_lines(lines(**more), LAST, 300)  # type: ignore[arg-type]


def outlook(found: OutlookBook, **more: object) -> Outlook:
    return outlook_of(found, Terms(limit_of, **{"months": 12, "many": 300, **more}))  # type: ignore[arg-type]


def middle(found: Outlook, name: str) -> float:
    band = found.series[name].total(range(12), 80)
    assert band is not None
    return band.middle


def test_a_regular_house_goes_on_as_it_was() -> None:
    found = outlook(book())
    assert sum(found.series[TIPS].means) == pytest.approx(24, abs=1.5)
    for name in (TIPS, FILLS, EXAMINED, TESTED):
        assert middle(found, name) == pytest.approx(24, abs=4), name
    assert middle(found, LEAKS) == pytest.approx(12, abs=3) == middle(found, CLOSED)
    assert middle(found, AT_LIMIT) == pytest.approx(12, abs=3)
    assert found.series[RETIRED].few == "0 ends: too few for a range; 20 wanted" and found.series[RETIRED].band(0, 80) is None


def test_the_same_seed_gives_the_same_courses_and_another_others() -> None:
    one, same, other = outlook(book()), outlook(book()), outlook(book(), seed=2)
    assert [one.series[name].drawn for name in SERIES] == [same.series[name].drawn for name in SERIES]
    assert one.series[TIPS].drawn != other.series[TIPS].drawn


def test_no_figure_hangs_on_the_order_in_which_lines_come() -> None:
    more = {}
    for n, (kind, spirit) in enumerate((kind, spirit) for kind in ("barrel", "hogshead", "butt") for spirit in ("malt", "grain", "rum")):
        for back in range(1, 60):
            more |= {f"F|{kind}|{LAST - back - 20 - n}|{LAST - back}|t|{spirit}": n + 1, f"F|{kind}|{LAST - back}|-|-|{spirit}": n + 2}
            more |= {f"O|{kind}|{LAST - back}|{back % 6}|0|0|{spirit}": n + 2, f"N|{kind}|{LAST - back}|{back % 6}|0|0|1": n + 1}
    told = list(lines(extra=more).items())
    means = []
    for seed in range(3):
        random.Random(seed).shuffle(told)
        found = outlook(read_lines(dict(told), LAST, 900), many=1)
        means.append([found.series[name].means for name in SERIES])
    assert means[0] == means[1] == means[2]


def test_a_wider_band_is_wider_and_of_no_month_are_more_at_the_limit_than_come_empty() -> None:
    found = outlook(book())
    for name in (TIPS, FILLS, LEAKS):
        fifty, eighty, ninety_five = (found.series[name].total(range(12), percent) for percent in (50, 80, 95))
        assert fifty and eighty and ninety_five and fifty.width <= eighty.width <= ninety_five.width and fifty.width < ninety_five.width
    for tips, at in zip(found.series[TIPS].drawn, found.series[AT_LIMIT].drawn, strict=True):
        assert all(few <= many for few, many in zip(at, tips, strict=True))


def test_under_twenty_ends_there_is_no_range_and_at_twenty_there_is() -> None:
    def of(ends: int) -> Outlook:
        found = Counter({f"A|barrel|{LAST - 60}|0|1|0|0|": 40, f"F|barrel|{LAST - 50}|{LAST - 10}|t|malt": ends, f"N|barrel|{LAST - 10}|3|0|0|-": ends})
        return outlook(read_lines(found, LAST, 40))

    assert of(19).series[TIPS].few.startswith("19 ends: too few") and of(19).series[AT_LIMIT].few.startswith("tips: 19 ends")
    assert not of(20).series[TIPS].few


def test_an_empty_book_and_one_of_which_nothing_is_known_have_no_range() -> None:
    for found in (Counter[str](), Counter({f"A|barrel|{LAST - 5}|1|?|?|0|malt": 1, f"O|barrel|{LAST - 5}|?|?|0|malt": 1, "U": 3})):
        told = outlook(read_lines(found, LAST, found.total()))
        assert all(told.series[name].few for name in SERIES)
    assert told.book.unread == 3


@pytest.mark.parametrize(
    ("wood", "left"),
    [
        (Wood(0, False, False), 5), (Wood(4, False, False), 1), (Wood(5, False, False), 0), (Wood(9, False, False), 0), (Wood(1, True, False), 1),
        (Wood(2, True, False), 0), (Wood(2, None, False), 3), (Wood(None, False, False), NOT_KNOWN), (Wood(5, False, True), NOT_CHARRED),
        (Wood(None, False, True), NOT_CHARRED),
    ],
)  # fmt: skip
def test_fills_left_to_the_limit(wood: Wood, left: int) -> None:
    assert left_of(wood, FIVE) == left and left_of(wood, None) == NOT_CHARRED


def test_what_is_charred_between_two_fills_has_the_limit_of_a_re_char() -> None:
    """Twenty at the limit, all of them charred, so that the next fill but one is at it again; and of two that stand empty one fill is left."""
    found = book()
    flow = Flow(found, curves_of(found, ("examine", "test")), limit_of)
    assert flow.charring.at == 1.0 and flow.charring.others == 0.0
    assert {place.left for place in flow.empty} == {1}
    flow.month(1.0)
    assert {place.left for place in flow.empty} == {1}  # Of two fills since a re-char one is left, and of five since the first char, with three had, one more.
    standing = replace(found, empty=[Standing(Kind("barrel", "malt"), LAST, Wood(3, False, False), 1)])
    assert {place.left for place in Flow(standing, curves_of(found, ()), limit_of).empty} == {1}  # Three fills, and the one to come.
    charred = replace(found, empty=[Standing(Kind("barrel", "malt"), LAST, Wood(0, False, False), 1)])
    assert {place.left for place in Flow(charred, curves_of(found, ()), limit_of).empty} == {4}


def test_too_few_at_the_limit_are_taken_to_be_charred() -> None:
    tips = [Tip("barrel", LAST, Wood(5, False, False), False, 19), Tip("barrel", LAST, Wood(1, False, False), True, 50)]
    assert charring_of(tips, limit_of, 0)[:2] == (1.0, 0.0)
    assert charring_of([*tips, tips[0]._replace(many=1, charred=True)], limit_of, 0)[:2] == (0.05, 1.0)
    assert charring_of([tips[0]._replace(month=3, many=40)], limit_of, 4).seen == 0


def test_no_cask_is_lost_and_none_made_on_the_way() -> None:
    found = replace(book(), came=[])
    flow = Flow(found, curves_of(book(), ()), limit_of)
    before = sum(map(sum, (*flow.full.values(), *flow.empty.values())))
    months = [flow.month(1.0) for _ in range(60)]
    after = sum(map(sum, (*flow.full.values(), *flow.empty.values())))
    assert before == 74 and after == pytest.approx(before)
    assert sum(one.tips for one in months) == pytest.approx(sum(one.fills for one in months), abs=4)


def test_casks_that_come_in_are_carried_too() -> None:
    coming = {f"A|barrel|{LAST - month}|1|0|0|0|malt": 3 for month in range(24)}
    flow = Flow(book(extra=coming), curves_of(book(), ()), limit_of)
    before = sum(map(sum, flow.full.values()))
    flow.month(1.0)
    assert sum(map(sum, (*flow.full.values(), *flow.empty.values()))) == pytest.approx(before + 2 + 3)


def test_a_kind_of_few_ends_goes_by_its_spirit_and_one_of_none_by_all() -> None:
    few = {
        f"F|hogshead|{LAST - 40}|{LAST - 3}|t|malt": 5, f"F|hogshead|{LAST - 9}|-|-|malt": 1, f"O|hogshead|{LAST - 9}|1|0|0|malt": 1,
        f"F|butt|{LAST - 9}|-|-|rum": 1, f"O|butt|{LAST - 9}|1|0|0|rum": 1,
    }  # fmt: skip
    used = outlook(book(extra=few)).used
    assert used["malt in barrel"] == (240, (Kind("barrel", "malt"),))
    assert used["malt"] == (245, (Kind("hogshead", "malt"),)) and used["all"] == (245, (Kind("butt", "rum"),))


def test_tips_of_unknown_fills_and_of_uncharred_types_are_told_apart() -> None:
    more = {f"O|barrel|{LAST - 36}|?|0|0|malt": 40, f"O|butt|{LAST - 36}|9|0|0|malt": 40}
    found = outlook(book(extra=more))
    assert found.unknown > 0.1 and found.not_charred > 0.1
    assert sum(found.series[AT_LIMIT].means) < 16


def test_the_rest_of_a_month_comes_before_whole_months() -> None:
    found = outlook_of(book(), Terms(limit_of, months=2, many=200), 0.25)
    assert [(one.month - LAST, one.part) for one in found.periods] == [(1, 0.25), (2, 1.0), (3, 1.0)]
    first, second, _ = found.series[TIPS].means
    assert first == pytest.approx(0.5) and second == pytest.approx(3.5)  # Two are of the age at which all come empty; what is left of them follows.


def test_years_are_those_of_the_calendar() -> None:
    assert {year: len(at) for year, at in outlook(book(), months=20).years.items()} == {2025: 11, 2026: 9}


def test_leaks_taken_twice_as_many_are() -> None:
    once, twice = (sum(outlook(book(), leak_times=times).series[LEAKS].means) for times in (1.0, 2.0))
    assert twice == pytest.approx(2 * once)


def test_some_casks_go_by_the_curves_of_all() -> None:
    whole = book()
    some = replace(whole, full=[one._replace(many=1) for one in whole.full], empty=[], came=[])
    found = outlook_of(some, Terms(limit_of, many=200), 1.0, Around(whole, scatter=True, share=0.5))
    assert sum(found.series[TIPS].means) == pytest.approx(11, abs=2) and found.series[TIPS].past == 240
    assert found.charring == outlook(whole).charring and found.charring.seen > 20
    alone = outlook_of(replace(some, fills={}, tips=[]), Terms(limit_of, many=200), 1.0, Around(whole))
    assert alone.series[TIPS].few.startswith("0 ends")


def test_hours_are_counts_times_those_of_the_house_in_the_shares_of_types() -> None:
    found = outlook(book())
    hours = hours_wanted(found, lambda job, kind: {"test": 0.5, "char": 2.0}.get(job) if kind == "barrel" else None)
    assert hours.each == {"empty": None, "shave": None, "char": 2.0, "examine": None, "test": 0.5, "fill": None} and hours.known
    total = hours.total(range(12), 80)
    assert total is not None and total.middle == pytest.approx(0.5 * middle(found, TESTED) + 2 * middle(found, AT_LIMIT), rel=0.1)
    assert not hours_wanted(found, lambda job, kind: None).known


def test_spirits_may_have_any_words_in_them() -> None:
    found = read_lines(Counter({f"A|barrel|{LAST}|1|1|0|0|a|b": 1, f"F|barrel|{LAST}|-|-|a|b": 1, f"O|barrel|{LAST}|1|0|0|a|b": 1}), LAST, 1)
    assert [one.kind.spirit for one in (*found.full, *found.came)] == ["a|b", "a|b"] and list(found.fills) == [Kind("barrel", "a|b")]
