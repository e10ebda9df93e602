"""Settings of two sides, by chance: the same bytes whichever is ours, both sides' changes in, a conflict where they disagree."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.merge import merge
from caskbook.model.house_file import read_house

pytestmark = pytest.mark.thorough

BASE: dict[str, str] = {"timezone": "UTC", "fill_needs": "examine", "test_valid_days": "60", "due/look/weep_days": "14", "due/rechar/due_at": "5"}
_CREW = ("ab", "kd", "mm", "cc", "zz")


def written(values: dict[str, str], crew: list[str]) -> str:
    lines = [f"{key}: {value}" for key, value in values.items() if "/" not in key]
    lines += ["crew:", *(f"  - {{initials: {one}}}" for one in crew), "due:"]
    for rule in ("look", "rechar"):
        own = {key.split("/")[2]: value for key, value in values.items() if key.startswith(f"due/{rule}/")}
        lines += [f"  {rule}:", *(f"    {key}: {value}" for key, value in own.items())] if own else []
    return "\n".join(lines) + "\n"


@st.composite
def sides(draw: st.DrawFn) -> tuple[dict[str, str], list[str]]:
    values = dict(BASE)
    numbers = st.integers(1, 3).map(str)
    for key, choice in (
        ("test_valid_days", numbers),
        ("due/look/weep_days", numbers),
        ("due/rechar/due_at", numbers),
        ("due/rechar/soon_at", numbers),
        ("minimum_age", numbers),
    ):
        if draw(st.booleans()):
            values[key] = draw(choice)
    crew = ["ab", *draw(st.lists(st.sampled_from(_CREW[1:]), unique=True, max_size=3))]
    return values, crew


@given(sides(), sides())
@settings(max_examples=many(60), deadline=None)
def test_settings_of_two_sides(ours: tuple[dict[str, str], list[str]], theirs: tuple[dict[str, str], list[str]]):
    base, one, other = written(BASE, ["ab"]), written(*ours), written(*theirs)
    found = merge(base.encode(), one.encode(), other.encode(), path="house.yaml")
    back = merge(base.encode(), other.encode(), one.encode(), path="house.yaml")
    clash = [key for key in ours[0].keys() & theirs[0].keys() if len({ours[0][key], theirs[0][key]} - {BASE.get(key)}) > 1]
    assert found.clean == back.clean == (not clash), (found.conflicts, clash)
    if not found.clean:
        assert {line for text in (one, other) for line in text.split("\n")} - set(base.split("\n")) <= set(found.data.decode().split("\n"))
        return
    assert found.data == back.data
    house = read_house("house.yaml", found.data)
    assert not house.findings
    assert {person["initials"] for person in house.data["crew"]} == {*ours[1], *theirs[1]}
    for key in ours[0].keys() | theirs[0].keys():
        wanted = next((side[key] for side in (ours[0], theirs[0]) if key in side and side[key] != BASE.get(key)), BASE.get(key))
        assert str(_at(house.data, key)) == wanted


def _at(data: dict[str, Any], key: str) -> Any:
    for step in key.split("/"):
        data = data[step]
    return data
