"""Which events stand: each case is worked out beside it."""

from __future__ import annotations

from typing import Any

import pytest
from casks import cask_of, ev
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.model.standing import Corrections, contrary, corrections


def standing(*events: dict[str, Any]) -> tuple[set[str], Corrections]:
    cask = cask_of(*events)
    found = corrections(cask.events)
    return {event.id for event in cask.events if found.stands(event)}, found


def note(name: str, **fields: Any) -> dict[str, Any]:
    return {"id": name, **ev("2020-01-01", "note", note="x", **fields)}


def void(name: str, of: str) -> dict[str, Any]:
    return {"id": name, **ev("2020-01-02", "void", of=of, why="wrong cask")}


A, B, C, D, V, W = (f"{letter}0000000" for letter in "abcdvw")


def test_without_corrections_all_stand() -> None:
    assert standing(note(A), note(B))[0] == {A, B}


def test_a_void_puts_its_target_out_of_force_and_stands_itself() -> None:
    assert standing(note(A), void(V, A))[0] == {V}


def test_a_void_of_the_void_lets_it_stand_again() -> None:
    assert standing(note(A), void(V, A), void(W, V))[0] == {A, W}


def test_a_replacement_puts_out_what_it_names() -> None:
    assert standing(note(A), note(B, replaces=A, why="w"))[0] == {B}


def test_a_chain_of_replacements_leaves_only_the_last() -> None:
    # C replaces B, so B is out; without the chain A would come back.
    assert standing(note(A), note(B, replaces=A, why="w"), note(C, replaces=B, why="w"))[0] == {C}


def test_voiding_the_last_of_a_chain_gives_the_one_before_it_back() -> None:
    # C is out, B stands again, and B keeps A out.
    assert standing(note(A), note(B, replaces=A, why="w"), note(C, replaces=B, why="w"), void(V, C))[0] == {B, V}


def test_voiding_the_middle_of_a_chain_changes_nothing() -> None:
    # C still stands and still puts out of force what its target had replaced.
    assert standing(note(A), note(B, replaces=A, why="w"), note(C, replaces=B, why="w"), void(V, B))[0] == {C, V}


def test_a_void_of_a_replacement_gives_the_event_before_it_back() -> None:
    assert standing(note(A), note(B, replaces=A, why="w"), void(V, B))[0] == {A, V}


def test_of_two_standing_replacements_the_larger_id_counts() -> None:
    kept, found = standing(note(A), note(B, replaces=A, why="w"), note(C, replaces=A, why="w"))
    assert kept == {C}
    assert found.rivals == {B: C}


def test_two_replacements_of_which_one_is_voided_are_no_rivals() -> None:
    kept, found = standing(note(A), note(B, replaces=A, why="w"), note(C, replaces=A, why="w"), void(V, C))
    assert kept == {B, V}
    assert found.rivals == {}


def test_a_moved_entry_of_a_replacement_takes_the_replaced_one_with_it() -> None:
    moved = {"id": D, **ev("2020-01-03", "moved", of=B, to="TH-000001", why="other cask")}
    assert standing(note(A), note(B, replaces=A, why="w"), moved)[0] == {D}


@pytest.mark.parametrize("late", [{"job": "note", "note": "y", "replaces": A}, {"job": "void", "of": A}, {"job": "moved", "of": A, "to": "TH-000001"}])
def test_who_was_replaced_in_turn_is_contrary_to_whoever_put_the_first_one_right(late: dict[str, Any]) -> None:
    other = {"id": D, **ev("2020-01-03", **late, why="w")}
    events = cask_of(note(A), note(B, replaces=A, why="w"), note(C, replaces=B, why="w"), other).events
    assert contrary(events, corrections(events)) == {C: D}
    assert not contrary(events[:3], corrections(events[:3]))


def test_no_member_of_a_cycle_counts() -> None:
    kept, found = standing(note(A), void(V, W), void(W, V))
    assert kept == {A}
    assert sorted(found.cyclic) == [V, W]


def test_an_event_that_replaces_itself_counts_for_nothing() -> None:
    kept, found = standing(note(A), note(B, replaces=B, why="w"))
    assert kept == {A}
    assert found.cyclic == [B]


def test_a_lost_target_is_named() -> None:
    kept, found = standing(note(A), void(V, C))
    assert kept == {A, V}
    assert found.absent == [V]


def test_three_thousand_voids_of_voids_are_read() -> None:
    events = [note(A)]
    last = A
    for n in range(3000):
        events.append(void(f"v{n:07d}", last))
        last = events[-1]["id"]
    kept, _ = standing(*events)
    assert A in kept and len(kept) == 1501


@settings(max_examples=many(200), deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["void", "replace", "note"]), st.integers(0, 7)), max_size=8))
def test_any_tangle_is_resolved_and_a_killer_always_stands(shapes: list[tuple[str, int]]) -> None:
    names = [f"e{n:07d}" for n in range(8)]
    events = []
    for n, (kind, target) in enumerate(shapes):
        if kind == "void":
            events.append(void(names[n], names[target]))
        else:
            events.append(note(names[n], **({"replaces": names[target], "why": "w"} if kind == "replace" else {})))
    kept, found = standing(*events)
    for fallen, killer in found.fallen.items():
        assert fallen not in kept
        assert killer in kept or fallen in found.cyclic


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 2, 0)])
def test_the_order_in_the_file_does_not_matter(order: tuple[int, ...]) -> None:
    events = [note(A), note(B, replaces=A, why="w"), note(C, replaces=B, why="w")]
    assert standing(*[events[n] for n in order])[0] == {C}
