"""merge(a, b) is merge(b, a): the same bytes where it is clean, with comments of both sides at one spot, and a conflict either way
where it is none."""

from __future__ import annotations

from itertools import permutations

import pytest
from history.ledgers import EMPTIED, EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, cask, event
from hypothesis import given
from hypothesis import strategies as st

from caskbook.merge import Merged, merge
from caskbook.merge.clash import clashes, impossible
from caskbook.merge.likely import may_clash
from caskbook.model.house import House

BASE = cask(RECEIVED, EXAMINED, TESTED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")
NOSED = event("gqw00002", "2023-06-01", "nose", "verdict: clean")
SPOTS = {
    "above the first event": "  - id: dsy3jphz", "above an event in the middle": "  - id: dsy3jpj0", "above the last event": "  - id: dt3q62s1",
    "inside an event": "    psi: 11", "above a head key": "type: barrel", "above the first key": "cask: ", "above the events": "events:",
}  # fmt: skip


def both_ways(base: str, ours: str, theirs: str, path: str = "TH-004217.yaml") -> Merged:
    one = merge(base.encode(), ours.encode(), theirs.encode(), path=path)
    other = merge(base.encode(), theirs.encode(), ours.encode(), path=path)
    assert one.clean == other.clean
    assert not one.clean or one.data == other.data
    return one


def with_remarks(text: str, spot: str, *remarks: str) -> str:
    """The text with remarks above the line that begins so, indented as that line is."""
    line = next(line for line in text.split("\n") if line.startswith(spot))
    blank = line[: len(line) - len(line.lstrip())]
    return text.replace(line, "".join(f"{blank}# {remark}\n" for remark in remarks) + line, 1)


@pytest.mark.parametrize("spot", SPOTS.values(), ids=SPOTS)
def test_comments_of_both_sides_at_one_spot_both_stay(spot: str) -> None:
    ours, theirs = with_remarks(BASE, spot, "zinc hoop"), with_remarks(BASE, spot, "ash peg", "look twice")
    found = both_ways(BASE, ours + NOTED, theirs + NOSED)
    assert found.clean
    text = found.data.decode()
    assert all(f"# {remark}\n" in text for remark in ("zinc hoop", "ash peg", "look twice")) and NOTED in text and NOSED in text
    assert "ash peg" in text.split("zinc hoop")[0]  # in an order that no side decides


def test_comments_below_the_last_event_both_stay() -> None:
    found = both_ways(BASE, BASE + "  # zinc hoop\n", BASE + "  # ash peg\n")
    assert found.clean and found.data.decode() == BASE + "  # ash peg\n  # zinc hoop\n"


def test_a_comment_below_the_last_event_that_both_rewrote_is_a_conflict() -> None:
    found = both_ways(BASE + "  # look\n", BASE + "  # look twice\n", BASE + "  # look again\n")
    assert found.conflicts and b"<<<<<<<" in found.data


def test_such_a_conflict_is_named_and_leaves_the_entries_of_both_sides_outside_the_markers() -> None:
    """Not round all that differs in the file, as where the merged text cannot be read again."""
    found = both_ways(BASE + "  # look\n", BASE + NOTED + "  # look twice\n", BASE + NOSED + "  # look again\n")
    assert found.conflicts == ("the lines below the last event",)
    assert found.data.decode() == BASE + NOTED + NOSED + "<<<<<<< ours\n  # look twice\n=======\n  # look again\n>>>>>>> theirs\n"


def test_the_same_comment_on_both_sides_stands_once() -> None:
    remark = with_remarks(BASE, "  - id: dt3q62s1", "zinc hoop")
    assert both_ways(BASE, remark + NOTED, remark + NOSED).data.decode().count("# zinc hoop") == 1


@pytest.mark.parametrize("spot", ["timezone: ", "crew:", "  - {initials: kd"])
def test_comments_at_one_spot_of_the_house(spot: str) -> None:
    found = both_ways(HOUSE, with_remarks(HOUSE, spot, "zinc hoop"), with_remarks(HOUSE, spot, "ash peg"), "house.yaml")
    assert found.clean and found.data.decode().index("ash peg") < found.data.decode().index("zinc hoop")


@given(st.data())
def test_comments_anywhere_on_either_side(data: st.DataObject) -> None:
    sides = []
    for added in (NOTED, NOSED):
        text = BASE + (added if data.draw(st.booleans()) else "")
        for spot in data.draw(st.lists(st.sampled_from(sorted(SPOTS.values())), max_size=3)):
            text = with_remarks(text, spot, data.draw(st.sampled_from(["one", "two", "three"])))
        sides.append(text)
    both_ways(BASE, *sides)


def test_three_machines_that_commented_one_spot_end_with_the_same_bytes() -> None:
    sides = [with_remarks(BASE, "  - id: dt3q62s1", remark) for remark in ("one", "two")]
    ends = {merge(BASE.encode(), a.encode(), b.encode()).data for a, b in permutations(sides)}
    assert len(ends) == 1


def test_a_file_that_both_added_with_other_comments() -> None:
    more = with_remarks(BASE, "  - id: dt3q62s1", "zinc hoop")
    assert both_ways("", BASE, more).data.decode() == more
    other = with_remarks(BASE, "  - id: dt3q62s1", "ash peg")
    found = both_ways("", more, other)
    assert not found.clean and "# zinc hoop" in found.data.decode() and "# ash peg" in found.data.decode()


# What is in conflict, and what is told


def test_one_id_with_other_data_or_missing_on_one_side_is_a_conflict_with_both_in_it() -> None:
    altered = BASE.replace("psi: 11", "psi: 12")
    again = BASE.replace("psi: 11", "psi: 10")
    found = both_ways(BASE, altered + NOTED, again)
    assert not found.clean and "psi: 12" in found.data.decode() and "psi: 10" in found.data.decode()
    gone = both_ways(BASE, cask(RECEIVED, EXAMINED), BASE + NOTED)
    assert not gone.clean and TESTED in gone.data.decode()
    alike = both_ways(BASE, altered + NOTED, altered + NOSED)
    assert alike.clean and any("altered in the same way" in note for note in alike.notes)


def test_an_id_that_stands_twice_and_an_event_without_id_are_never_dropped() -> None:
    twice = BASE + NOTED + NOTED
    found = both_ways(BASE, twice, BASE)
    assert not found.clean or found.data.decode().count("gqw00001") == 2
    nameless = NOTED.replace("  - id: gqw00001\n    date", "  - date")
    kept = both_ways(BASE, BASE + nameless, BASE + NOSED)
    assert not kept.clean and "note: seen" in kept.data.decode()
    landed = both_ways(BASE + nameless, BASE + nameless, BASE + nameless + NOSED)
    assert "note: seen" in landed.data.decode()


@pytest.mark.parametrize(
    ("ours", "theirs", "clean"), [("wood: mizunara", "wood: mixed", False), ("wood: mizunara", "wood: mizunara", True), ("owner: 1", "owner: true", False)]
)
def test_a_head_key_that_both_added(ours: str, theirs: str, clean: bool) -> None:
    sides = [BASE.replace("staves: 31", f"{line}\nstaves: 31") for line in (ours, theirs)]
    assert both_ways(BASE, *sides).clean is clean


def test_new_head_keys_stand_in_the_usual_order_whoever_added_them() -> None:
    ours, theirs = BASE.replace("staves: 31", "maker: Fenwick Hollow\nstaves: 31"), BASE.replace("staves: 31", "wood: mixed\nmade: 2011\nstaves: 31")
    found = both_ways(BASE, ours, theirs)
    assert found.clean and "wood: mixed\nmaker: Fenwick Hollow\nmade: 2011\nstaves" in found.data.decode()


def test_head_keys_stand_in_the_order_of_the_side_that_changed_it() -> None:
    moved = BASE.replace("staves: 31\n", "").replace("charred: 2011\n", "charred: 2011\nstaves: 31\n")
    found = both_ways(BASE, moved, BASE + NOTED)
    assert found.clean and found.data.decode() == moved + NOTED


def test_newlines_of_the_side_that_changed_them() -> None:
    crlf = BASE.replace("\n", "\r\n")
    one = merge(BASE.encode(), crlf.encode(), (BASE + NOTED).encode())
    other = merge(BASE.encode(), (BASE + NOTED).encode(), crlf.encode())
    assert one.data == other.data == (BASE + NOTED).replace("\n", "\r\n").encode()


def test_a_changed_indent_counts_whichever_side_it_is_on() -> None:
    ours = BASE.replace("\n  - ", "\n\n  - ")
    both_ways(BASE, ours, BASE + NOTED)
    two, three = BASE.replace("\n  - id: dt3q", "\n\n  - id: dt3q"), BASE.replace("\n  - id: dt3q", "\n\n\n  - id: dt3q")
    found = both_ways(BASE, two, three)
    assert found.clean and found.data.decode() == three


# What became impossible


def test_only_what_is_new_and_an_error_is_named() -> None:
    base = BASE + FILLED
    again = event("gqw00003", "2023-06-02", "fill", "spirit: malt", "litres: 190", "abv: 63.5", "temp_c: 14.5")
    ours, theirs = base + again, base + NOTED
    assert impossible(ours.encode(), House())  # a fill on a full cask, on one side already
    found = both_ways(base, ours, theirs)
    assert clashes(found, ours.encode(), theirs.encode(), House()) == []
    two = both_ways(base, base + EMPTIED, base + event("gqw00004", "2023-06-02", "regauge", "method: meter", "litres: 150", "abv: 60", "temp_c: 14"))
    assert any(
        "regauge" in line
        for line in clashes(
            two,
            (base + EMPTIED).encode(),
            (base + event("gqw00004", "2023-06-02", "regauge", "method: meter", "litres: 150", "abv: 60", "temp_c: 14")).encode(),
            House(),
        )
    )
    # Filled again while unexamined: the house's own rules are broken, and nothing is impossible.
    empty = base + EMPTIED
    assert clashes(both_ways(empty, empty + again, empty + NOTED), (empty + again).encode(), (empty + NOTED).encode(), House()) == []
    assert impossible((empty + again).encode(), House()) == {}


def test_which_merges_need_a_closer_look() -> None:
    base = BASE + FILLED
    looked = event("gqw00005", "2023-05-17", "look", "seen: dry")
    replaced = event("gqw00006", "2023-05-17", "note", "note: x", "replaces: dtcw0000", "why: wrong cask")
    ask = [
        may_clash(base.encode(), (base + one).encode(), (base + other).encode())
        for one, other in ((EMPTIED, looked), (looked, EMPTIED), (NOTED, EMPTIED), (looked, looked), (replaced, looked))
    ]
    assert ask == [True, True, False, False, True]
