"""The filters that commands share stand where a command names them, and reach it by the columns of the table `cask`."""

from __future__ import annotations

import inspect

from caskbook.cli.filter_options import CASKS, NO_FILTERS, WORK, Filters, filtered
from caskbook.cli.options import Berths, Types


def test_options_stand_in_place_of_the_filters_and_come_as_columns_in_their_order() -> None:
    given = []

    @filtered("berth", "type")
    def command(first: int = 1, filters: Filters = NO_FILTERS, last: bool = False) -> None:
        given.append((first, list(filters.items()), last))

    found = inspect.signature(command).parameters
    assert [(name, one.annotation) for name, one in found.items()] == [("first", int), ("berth", Berths), ("types", Types), ("last", bool)]
    command(first=2, berth=None, types=["butt"], last=True)
    assert given == [(2, [("berth", None), ("type", ["butt"])], True)]
    assert {*WORK} - {*CASKS} == {"spirit"}
