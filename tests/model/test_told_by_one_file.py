"""Which side of a racking, a conversion or swapped heads is told by one file alone, and on which days it lacks in the life of the other cask."""

from __future__ import annotations

from datetime import date
from typing import Any

from casks import HOUSE, cask_data, ev
from index.test_half_told import CAME, FILL, ONE, OPEN, SOUND, THREE, TWO, converted, made, rack_in, rack_out, swapped

from caskbook.model.bonds import bonds_of
from caskbook.model.cask import read_cask
from caskbook.model.untold import Gap, held_to, lacking_in, untold
from caskbook.work.coming import Files, known_on


def claims(**files: tuple[dict[str, Any], ...]) -> dict[str, list[str]]:
    """What such files claim, by number: `one=(…)` is the file of TH-000001."""
    numbers = {"one": ONE, "two": TWO, "three": THREE}
    casks = [read_cask(cask_data(*events, cask=numbers[name]))[0] for name, events in files.items()]
    return {cask.id: bonds_of(cask) for cask in casks if cask is not None}


VOID = {**ev("2026-11-21", "void", of="e0000080", why="of neither"), "id": "e0000090"}
JOIN = {**ev("2026-11-21", "same-as", of=TWO, why="two stencils"), "id": "e0000095"}


def test_a_side_is_told_where_the_other_file_has_the_entry_in_whatever_way() -> None:
    def silent(**files: tuple[dict[str, Any], ...]) -> set[str]:
        return set(untold(claims(**files)))

    full, two = (CAME, SOUND, FILL), (CAME, SOUND)
    assert silent(one=(*full, rack_out(TWO)), two=two) == {TWO} == silent(one=(*two, rack_in(TWO)), two=full)
    assert silent(one=(*full, rack_out(TWO)), two=(*two, rack_in(ONE))) == set()
    assert silent(one=(*full, rack_out(TWO), VOID), two=two) == set(), "what is out of force tells nothing"
    assert silent(one=(*full, rack_out(TWO)), two=(*two, rack_in(ONE), VOID)) == {ONE, TWO}, "one says that it was, the other that it was not"
    assert silent(one=(*full, rack_out(TWO)), two=(*two, rack_in(ONE, "e0000081"))) == set(), "by hand each side may have an id of its own"
    assert silent(one=(*full, rack_out(TWO)), two=(*two, rack_in(ONE, "e0000081", "2026-11-21"))) == {ONE, TWO}, "of another day it is another racking"
    twice = (*full, rack_out(TWO), rack_out(TWO, "e0000082"))
    assert silent(one=twice, two=(*two, rack_in(ONE, "e0000081"))) == {TWO}, "each is the half of one"
    assert silent(one=(*full, rack_out(TWO)), two=(*two, rack_in(THREE)), three=full) == {THREE}, "who misnames the source is not silent"
    assert silent(one=(*two, converted(TWO)), two=({**made(ONE), "id": "e0000081", "date": "2026-11-22"},)) == set(), "a cask is made once"
    assert silent(one=(*two, OPEN, swapped(TWO)), two=(*two, OPEN, swapped(ONE))) == set()
    assert silent(one=(*full, {**rack_out(TWO), "to": "cask"}), two=two) == set(), "of a cask that cannot be read nobody is meant"


def test_a_side_may_stand_in_any_file_of_a_cask_of_several_numbers() -> None:
    full, two = (CAME, SOUND, FILL), (CAME, SOUND)
    assert set(untold(claims(one=(*full, rack_out(TWO)), two=two, three=(*two, JOIN, rack_in(ONE))))) == set()
    assert set(untold(claims(one=(*full, rack_out(TWO)), two=two, three=(*two, JOIN)))) == {TWO, THREE}


def test_what_came_after_a_day_is_not_lacking_of_what_was_known_on_it() -> None:
    cask, _ = read_cask(cask_data(CAME, SOUND, cask=TWO))
    gaps = untold(claims(one=(CAME, SOUND, FILL, rack_out(TWO)), two=(CAME, SOUND)))[TWO]
    assert cask is not None
    known = [known_on(Files(cask, (), HOUSE, untold=gaps), date(2026, 11, day)) for day in (19, 20)]
    assert [files.life(date(2026, 11, 29)).in_part for files in known] == [False, True]


def test_a_gap_lacks_from_its_day_on_and_a_day_to_come_is_a_slip() -> None:
    """Of a parent that is gone by its own file nothing lacks: its file says where it went."""
    days = [date(2026, 11, day) for day in (19, 20, 21)]
    (racked,) = untold(claims(one=(CAME, SOUND, FILL, rack_out(TWO)), two=(CAME, SOUND)))[TWO]
    (parent,) = untold(claims(one=(made(TWO),), two=(CAME, SOUND)))[TWO]
    (child,) = untold(claims(one=(CAME, SOUND, converted(TWO)), two=(CAME, SOUND)))[TWO]
    assert [bool(lacking_in([racked], day, gone=False)) for day in days] == [False, True, True]
    assert [bool(lacking_in([gap], days[2], gone=True)) for gap in (racked, parent, child)] == [True, False, True]
    assert lacking_in([Gap("anything")], days[0], gone=False) == ("anything",)
    assert [held_to([racked], day)[0].since for day in days] == [None, days[1], days[1]]


def test_what_is_untold_comes_in_the_order_of_the_numbers_in_whatever_order_files_were_read() -> None:
    """An index has last what changed last; a number that took others over has their gaps in one order too."""
    two = (CAME, SOUND)
    told = claims(one=(made(TWO),), two=two, three=(made(TWO),))
    assert [gap.words.split(" alone")[0][-9:] for gap in untold(told)[TWO]] == [ONE, THREE]
    assert [untold({number: told[number] for number in order})[TWO] for order in (sorted(told), sorted(told, reverse=True))] == 2 * [untold(told)[TWO]]
    chain = {"TH-000001": ["TH-000002", "TH-000003"], "TH-000002": ["TH-000004"]}
    half = {f"TH-00010{n}": [f"=TH-00000{n}/convert/2026-11-20//e000008{n}"] for n in (2, 3, 4)}
    orders = ({**chain, **half}, {**half, **dict(reversed(chain.items()))}, dict(reversed({**chain, **half}.items())))
    assert len({untold(order)["TH-000001"] for order in orders}) == 1
