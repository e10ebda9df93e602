"""The list of mutants fits the code; a run of one mutant tells that it is killed, and of one that changes nothing that it lives."""

from __future__ import annotations

from mutants.mutants import read_lists
from mutants.run import CHECKOUT, fault_of

ROOMS = {"life", "due", "checks", "merge", "loss", "index", "gauging"}


def test_every_mutant_fits_the_code() -> None:
    assert [f"{one.name}: {fault}" for one in read_lists() if (fault := fault_of(one, CHECKOUT))] == []


def test_there_are_enough_of_every_room_and_no_name_stands_twice() -> None:
    mutants = read_lists()
    names = [one.name for one in mutants]
    assert len(mutants) >= 150 and len(set(names)) == len(names)
    assert {one.room for one in mutants} == ROOMS
    places = [(one.file, one.old, one.new) for one in mutants]
    assert len(set(places)) == len(places)
