"""Event ids: unique, and sorted as plain strings they give the order of the work."""

from __future__ import annotations

import hashlib
import random
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.core.finding import CaskbookError
from caskbook.model.ids import (
    DIGITS,
    id_minute,
    import_after,
    import_id,
    import_in_place,
    imported_after,
    imported_between,
    is_id,
    mint_between,
    mint_id,
    mint_replacement,
    same_import,
)

NOW = datetime(2015, 3, 12, 9, 30, tzinfo=UTC)


def bits_of(seed: int):
    return random.Random(seed).getrandbits


def reference(now: datetime, tail: int) -> str:
    """The number of the definition written out in base 32 by another route."""
    number = 10 * 2**35 + int((now - datetime(2000, 1, 1, tzinfo=UTC)).total_seconds() // 60) * 2**14 + tail
    out = ""
    while number:
        out, number = DIGITS[number % 32] + out, number // 32
    return out


def test_the_digits_are_crockfords():
    assert len(DIGITS) == 32 and not set("ilou") & set(DIGITS) and list(DIGITS) == sorted(DIGITS)


def test_the_form_is_that_of_the_definition():
    assert mint_id(NOW, day_ids=[], random_bits=lambda n: 77) == reference(NOW, 77)
    assert mint_id(NOW, day_ids=[], random_bits=lambda n: 2**n - 1)[0] == "d"
    assert id_minute(mint_id(NOW, day_ids=[], random_bits=lambda n: 0)) == NOW


def test_an_id_made_later_is_higher_with_its_minute():
    ids = [mint_id(NOW + timedelta(minutes=k), day_ids=[], random_bits=bits_of(k)) for k in range(500)]
    assert ids == sorted(ids)


@pytest.mark.parametrize("year", [1970, 2099])
def test_a_wrong_clock_is_refused(year):
    with pytest.raises(CaskbookError, match="clock"):
        mint_id(datetime(year, 1, 1, tzinfo=UTC), day_ids=[], random_bits=bits_of(1))


@given(st.lists(st.tuples(st.integers(-2000, 2000), st.integers(0, 2**32), st.booleans()), max_size=40))
def test_work_of_one_day_keeps_its_order_whatever_the_clock_does(steps):
    work: list[str] = []
    for minutes, seed, lengthen in steps:
        if lengthen and work:
            work.append(mint_between(work[-1], None, random_bits=bits_of(seed)))
        else:
            work.append(mint_id(NOW + timedelta(minutes=minutes), day_ids=work, random_bits=bits_of(seed)))
    assert work == sorted(work) and len(set(work)) == len(work) and all(map(is_id, work))


@given(st.lists(st.tuples(st.integers(0, 1000), st.integers(0, 2**32)), min_size=1, max_size=60))
def test_an_id_fits_at_any_place_again_and_again(steps):
    work: list[str] = []
    for where, seed in steps:
        at = where % (len(work) + 1)
        before = work[at - 1] if at else None
        after = work[at] if at < len(work) else None
        if before is None and after is None:
            work.append(mint_id(NOW, day_ids=[], random_bits=bits_of(seed)))
        else:
            work.insert(at, mint_between(before, after, random_bits=bits_of(seed), taken=work))
    assert work == sorted(work) and len(set(work)) == len(work)
    assert all(map(is_id, work))
    assert not any(one.endswith("0") for one in work if len(one) > 8)


PLACES = {
    "behind the last but one": lambda work: len(work) - 1,
    "behind the first": lambda work: 1,
    "now on this side, now on that": lambda work: len(work) // 2,
    "behind what was put in last, nothing after it": lambda work: len(work),
}


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("seed", range(5))
def test_one_place_takes_a_great_many_one_after_the_other(place, seed):
    """As an entry that is replaced, and its replacement again, or what is put before the same entry time and again."""
    work, dice = ["dsy3jphx", "dsy3jphy"], bits_of(seed)
    for _ in range(25 if "that" in place.split(", ")[-1] else 100):  # Between the last two, that is, where what is left shrinks fastest.
        at = PLACES[place](work)
        if place.endswith("nothing after it"):
            work.append(mint_replacement(work[-1], work, dice))
        else:
            work.insert(at, mint_between(work[at - 1], work[at], random_bits=dice, taken=work))
    assert work == sorted(work) and len(set(work)) == len(work) and all(map(is_id, work))


@pytest.mark.parametrize("above", [None, "dsy3jphy", "dsy3jphxz"])
def test_a_row_is_replaced_a_hundred_times_and_known_each_time(above):
    work = ["dsy3jphx"]
    for n in range(100):
        digest = hashlib.sha256(f"{n}".encode()).digest()
        work.append(import_in_place(work[-1], digest, work, above))
        assert imported_between(work[-1], digest) or above == "dsy3jphxz"
    assert work == sorted(work) and all(map(is_id, work)) and (above is None or work[-1] < above)


def test_where_nothing_is_left_it_is_refused_and_never_written():
    work = ["dsy3jphx", "dsy3jphy"]
    with pytest.raises(CaskbookError, match="no event id is left above"):
        for n in range(2000):
            at = 1 + n % 2
            work.insert(at, mint_between(work[at - 1], work[at], random_bits=lambda bits: 0, taken=work))
    assert work == sorted(work) and all(map(is_id, work))


@pytest.mark.parametrize("upper", [None, "dsy3jpj0", "dsy3jphzz"])
def test_an_id_without_room_for_more_digits_is_followed_by_a_short_one(upper):
    for length in range(60, 64):
        lower = "dsy3jphz" + "y" * (length - 8)
        found = mint_between(lower, upper, random_bits=bits_of(length), taken={lower})
        assert lower < found and (upper is None or found < upper) and is_id(found) and (length < 62 or len(found) <= 16)


def test_where_no_id_is_left_none_is_made():
    full = "dsy3jphz" + "z" * 55
    for lower, upper, longer in ((full[:61], full[:62] + "1", False), ("dsy3jphz" + "0" * 53 + "1", "dsy3jphz" + "0" * 53 + "11", False), (full, None, True)):
        try:
            found = mint_between(lower, upper, random_bits=bits_of(3), longer=longer)
        except CaskbookError as error:
            assert "no event id is left" in str(error)
        else:
            assert lower < found < str(upper) and is_id(found)


def test_replacements_of_replacements_stay_ids_in_order():
    work = ["dsy3jphz"]
    for seed in range(200):
        work.append(mint_replacement(work[-1], set(work), bits_of(seed), "dsy3jpj0"))
    assert all(map(is_id, work)) and work == sorted(work) and work[-1] < "dsy3jpj0"


@pytest.mark.parametrize("tail", ["1", "01", "0001", "z", "11"])
def test_a_neighbour_that_is_an_extension_leaves_room(tail):
    for seed in range(200):
        assert "dsy3jphz" < mint_between("dsy3jphz", "dsy3jphz" + tail, random_bits=bits_of(seed)) < "dsy3jphz" + tail


def test_adjacent_neighbours_leave_room():
    middle = mint_between("dsy3jphx", "dsy3jphy", random_bits=bits_of(4))
    assert "dsy3jphx" < middle < "dsy3jphy" and middle.startswith("dsy3jphx")


def test_neighbours_out_of_order_are_refused():
    with pytest.raises(CaskbookError, match="not in order"):
        mint_between("dsy3jphz", "dsy3jphy", random_bits=bits_of(4))


def test_a_replacement_is_the_old_id_and_two_digits():
    taken: set[str] = {"dsy3jphz"}
    for seed in range(900):
        taken.add(mint_replacement("dsy3jphz", taken, bits_of(seed)))
    assert len(taken) == 901
    assert all(one.startswith("dsy3jphz") and not one.endswith("0") for one in taken)
    assert sum(len(one) == 10 for one in taken) > 600


def test_a_source_that_repeats_itself_still_gives_new_ids():
    taken: list[str] = []
    for _ in range(50):
        taken.append(mint_id(NOW, day_ids=[], random_bits=lambda n: 0, taken=taken))
        taken.append(mint_between("dsy3jphz", None, random_bits=lambda n: 0, taken=taken))
        taken.append(mint_between(None, "dsy3jphz", random_bits=lambda n: 0, taken=taken))
        taken.append(mint_between("dsy3jphz", "dsy3jphz01", random_bits=lambda n: 0, taken=taken))
    assert len(set(taken)) == 200


def test_a_hand_written_word_in_place_of_an_id_is_passed_over():
    assert mint_id(NOW, day_ids=["zz", "my first"], random_bits=lambda n: 0) == reference(NOW, 0)


def row(text: str) -> bytes:
    return hashlib.sha256(text.encode()).digest()


def test_an_imported_row_gets_its_id_again_and_is_known_again():
    day = date(2009, 5, 4)
    first, second = import_id(0, row("fill 198"), day), import_id(1, row("empty"), day)
    assert first == import_id(0, row("fill 198"), day) and first < second and is_id(first)
    assert id_minute(first) is None
    assert same_import(import_id(7, row("fill 198"), day), row("fill 198"), day)
    assert not same_import(first, row("fill 199"), day)


@given(st.lists(st.tuples(st.dates(date(1980, 1, 1), date(2020, 1, 1)), st.integers(0, 3)), max_size=200))
def test_imported_ids_stay_unique_in_a_file(rows):
    taken: list[str] = []
    for day, rank in rows:
        taken.append(import_id(rank, row(f"{rank}"), day, taken))
    assert len(set(taken)) == len(taken) and all(map(is_id, taken))


def test_a_row_is_known_under_an_id_that_a_merge_lengthened():
    row, other = (hashlib.sha256(text).digest() for text in (b"row", b"other"))
    first, after = import_id(0, row, date(2024, 3, 1)), import_after("dsy3jphz", row)
    assert same_import(first + "c5", row, date(2024, 3, 1)) and imported_after(after, row) and imported_after(after + "c5", row)
    assert not imported_after(after + "c5", other) and not imported_after("dsy3jphz", row)


@pytest.mark.thorough
def test_something_fits_below_the_first_row_of_a_sheet_again_and_again():
    """The opening that goes without saying stands before its row, whatever the digits of the row's content."""
    day, lowest_of_all = date(2024, 3, 1), reference(datetime(2000, 1, 1, tzinfo=UTC), 0)
    firsts = {row(str(n)): import_id(0, row(str(n)), day) for n in range(40_000)}
    few_below = sorted(firsts, key=firsts.__getitem__)[:20]
    assert firsts[few_below[0]].startswith(lowest_of_all), "one of them has no digits of its own"
    for seed, content in enumerate(few_below):
        last = firsts[content]
        assert same_import(last, content, day)
        for k in range(20):
            below = mint_between(None, last, random_bits=bits_of(100 * seed + k))
            assert is_id(below) and below < last
            last = below
