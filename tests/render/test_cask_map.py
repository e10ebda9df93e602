"""Heads and staves in plain ASCII."""

from __future__ import annotations

import pytest
from casks import ev

from caskbook.life import Life
from caskbook.render.cask_map import cask_map, marked_places
from render import lives
from render.lives import agrees, life_of


@pytest.mark.parametrize("name", ["worked", "unknown_past", "on_the_bench", "leaking"])
def test_golden(name: str, request: pytest.FixtureRequest) -> None:
    life: Life = getattr(lives, name)()
    agrees(f"map-{name.replace('_', '-')}", cask_map(life), request)


@pytest.mark.parametrize("name", ["worked", "unknown_past", "on_the_bench", "leaking", "sherry_butt"])
@pytest.mark.parametrize("width", [40, 80, 120])
def test_ascii_and_within_the_width(name: str, width: int) -> None:
    text = cask_map(getattr(lives, name)(), width=width)
    assert text.isascii() and max(map(len, text.split("\n"))) <= width


def test_every_stave_stands_there_once() -> None:
    text = cask_map(lives.sherry_butt())
    rows = text.split("staves, clockwise")[1].split("\n\n")[0].split("\n")[1:]
    numbers = [int(cell.rstrip("b")) for row in rows for cell in row.split()]
    assert numbers == list(range(1, 47))


def test_uncounted_parts_say_how_to_count_them() -> None:
    text = cask_map(lives.unknown_past())
    assert "staves not counted: enter measure --staves" in text and "enter measure --heads" in text


def test_a_leak_at_wood_changed_since_is_gone() -> None:
    events = [
        ev("2020-01-01", "receive", verdict="accept"),
        ev("2020-01-02", "test", psi=11, result="fail", leaks=[{"at": "joint-13"}, {"at": "joint-20"}]),
        ev("2020-01-03", "open", heads=["A"]),
        ev("2020-01-03", "stave", staves=[14], action="replace", from_="new"),
    ]
    marked = marked_places(life_of(*events))
    assert [str(place) for place in marked.leaked] == ["joint-20"]
    assert "14'20" in cask_map(life_of(*events)) and "20!" in cask_map(life_of(*events))


def test_a_moved_bung_is_marked_where_it_is() -> None:
    text = cask_map(life_of(ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "bung", action="moved", to=9)))
    assert " 9b" in text and " 1b" not in text
