"""Where a count of fills since char is only a least figure, what is said of it says so."""

from __future__ import annotations

from typing import Any

import pytest
from casks import cask_of, ev, life_on

from caskbook.due.judging import judge
from caskbook.entry.says import cask_line
from caskbook.life.facts import facts_of
from caskbook.model.house import House
from caskbook.review.phrases import phrase

HOUSE = House({"crew": [{"initials": "ab"}]})
SOUND = ev("2020-01-02", "examine", verdict="sound")
FILLED = ev("2020-02-01", "fill", spirit="malt", litres=190, abv=63.5, at_20=True)
EMPTIED = ev("2021-02-01", "empty", litres=180, abv=62, at_20=True)
RECEIVED = ev("2020-01-01", "receive", verdict="accept")


def made(**inherited: Any) -> dict[str, Any]:
    return ev("2020-01-01", "made-from", parents=[{"unnumbered": "staves"}], inherited=inherited)


CHARRED = {"fills_life": 3, "fills_since_char": 2, "char_count": 1, "rechar_count": 0, "last_char": 2011, "held": "spirit"}
UNCHARRED = {"fills_life": 3, "fills_since_char": 3, "char_count": 0, "rechar_count": 0, "held": "spirit"}


@pytest.mark.parametrize(("events", "head", "said"), [
    ((made(**CHARRED), SOUND, FILLED, EMPTIED), {"prior": "absent"}, "at least 3 fills since char"),
    ((made(**CHARRED), SOUND, FILLED), {"prior": "absent"}, "at least 3 fills since char"),
    ((made(**UNCHARRED), SOUND, FILLED), {"prior": "absent"}, "never charred, at least 4 fills in its life"),
    ((RECEIVED, SOUND, FILLED), {"prior": "absent"}, "at least 1 fill since char"),
    ((RECEIVED, SOUND, FILLED), {"prior": "absent", "charred": "never"}, "never charred, at least 1 fill in its life"),
    ((RECEIVED, SOUND, FILLED), {"prior": [{"contents": "bourbon", "fills": 1}]}, "2nd fill since char"),
    ((RECEIVED, SOUND), {"prior": [{"contents": "bourbon", "fills": 1}, {"contents": "rum"}]}, "at least 1 fill since char"),
])  # fmt: skip
def test_the_line_of_a_cask_says_at_least(events: tuple[dict[str, Any], ...], head: dict[str, Any], said: str) -> None:
    line = cask_line(life_on("2022-01-01", *events, **head))
    assert f", {said}, " in f"{line}, "


def test_what_is_due_says_at_least_of_a_child() -> None:
    life = life_on("2022-01-01", made(**CHARRED), SOUND, FILLED, EMPTIED, prior="absent")
    (found,) = (one for one in judge(life, facts_of(life)) if one.rule == "rechar")
    assert found.reasons[0] == "at least 3 fills since char on 2011-07-01 (about): 2 of its highest parent, 1 here; house limit 5"


def test_a_review_says_after_how_many_fills_at_least() -> None:
    opened, charred = ev("2021-03-01", "open", heads=["A"]), ev("2021-03-02", "char", level=3)
    for first, head, said in (
        (made(**CHARRED), {"prior": "absent"}, "its first re-char after at least 3 fills"),
        (RECEIVED, {"prior": [{"contents": "bourbon", "fills": 1}]}, "its first re-char after 2 fills"),
        (RECEIVED, {"prior": [{"contents": "bourbon", "fills": 1}, {"contents": "rum"}]}, "its first re-char after at least 2 fills"),
    ):
        cask = cask_of(first, SOUND, FILLED, EMPTIED, opened, charred, **head)
        assert said in phrase(cask.events[-1], cask, HOUSE)
