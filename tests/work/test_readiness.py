"""The next job at the bench, where several rules call for some."""

from __future__ import annotations

import json
from types import SimpleNamespace
from typing import Any

import pytest

from caskbook.due.verdict import Opinion
from caskbook.work.readiness import Step, Way, _next


def called(name: str, *jobs: str) -> Any:
    return SimpleNamespace(name=name, jobs=jobs, calls=lambda _case, _verdict: jobs), Opinion("due", (f"{name} is due",))


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ([called("retest", "close", "test")], Step(("close", "test"), "retest", "retest is due")),
        # What comes before the test at the bench is done before it, whichever rule stands first in the list.
        ([called("retest", "close", "test"), called("repair", "drive")], Step(("close", "drive"), "repair", "repair is due")),
        ([called("retest", "close", "test"), called("rechar", "shave", "char")], Step(("shave", "char"), "rechar", "rechar is due")),
        ([called("repair", "close")], Step(("close",), "repair", "repair is due")),
    ],
)
def test_heads_are_put_in_for_what_comes_next_at_the_bench(said: Any, expected: Step) -> None:
    case: Any = SimpleNamespace(st=SimpleNamespace(form="open", marks={}))
    assert _next(case, said) == expected


def test_a_way_is_kept_whole() -> None:
    way = Way("one job away", (Step(("close", "test"), "retest", "never tested"),), None, ("rechar: unknown",))
    assert Way.of_row(json.loads(json.dumps(way.as_row()))) == way
