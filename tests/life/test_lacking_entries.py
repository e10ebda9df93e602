"""Beside an entry that cannot be read no fact tells what it may have counted for: every fact is withheld, or stands here with its reason."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from datetime import date
from pathlib import Path

import pytest
from casks import HOUSE, cask_data, ev
from commands import caskbook

from caskbook.due import judge
from caskbook.life import live
from caskbook.life.facts import Facts, facts_of
from caskbook.life.fold import live_with
from caskbook.life.unknown_facts import COUNTED, REASSURING
from caskbook.life.unsure import _FACTS
from caskbook.model.cask import read_cask
from caskbook.model.query_columns import CASK
from caskbook.render.card import card

DAY = date(2026, 2, 1)
STATE = ("state", "fitness", "contents", "spirit")
CAUTIOUS = tuple(name for name in REASSURING if name not in (*STATE, *COUNTED))
STILL_TOLD = {
    "the day that was asked about": ("as_of",),
    "said in the head, and by its corrections, each of which the card names": ("cask", "type", "wood", "maker", "made", "owner", "parcel", "supplier", "prior"),
    "a day of the receipt, which adds up over nothing, and by which a claim is made in time": ("received", "claim_by"),
    "where it was last, by which it is looked for": ("berth", "store", "stow", "whereabouts", "form"),
    "what was last put in, by which a vat is held against all that came out of it": ("vat",),
    "a figure of the last entry that gives one, which adds up over nothing": ("capacity_l", "staves", "stave_mm", "soaked"),
    "told where it is the cautious word alone": CAUTIOUS,
    "names by which it is found, as far as any are known": ("joined", "old_marks"),
}  # fmt: skip

LIFE = (
    ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "hoop", hoops=["A-1"], from_="new"), ev("2020-01-02", "flag", at=["joint-3"]),
    ev("2020-01-03", "treat", method="rinse", for_="taint"), ev("2020-01-04", "open", heads=["A", "B"]),
    ev("2020-01-04", "stave", staves=[1], action="replace", from_="TH-000009"), ev("2020-01-04", "head", head="A", action="replace", from_="new", mark="TH 4217"),
    ev("2020-01-04", "char", level=3), ev("2020-01-05", "close", heads=["A", "B"]), ev("2020-01-05", "test", psi=9, result="fail", leaks=[{"at": "joint-3"}]),
    ev("2020-01-06", "test", psi=9, result="pass"), ev("2020-01-06", "examine", verdict="sound"),
    ev("2020-01-07", "fill", spirit="malt", litres=190, abv=63.5, temp_c=14), ev("2024-01-07", "look", seen="dry"),
    ev("2025-01-07", "empty", litres=170, abv=60, temp_c=14),
    ev("2025-02-07", "test", psi=9, result="fail", leaks=[{"at": "joint-3"}]),
)  # fmt: skip


def test_every_fact_is_withheld_or_has_its_reason() -> None:
    told = [name for names in STILL_TOLD.values() for name in names]
    assert sorted([*COUNTED, *STATE, *told]) == sorted(field.name for field in fields(Facts))


@pytest.mark.parametrize("how", ["no known job", "one id twice", "a file that is joined", "a joined file without an entry", "the other side of a merge"])
def test_what_is_counted_is_unknown_beside_entries_that_are_lacking(how: str) -> None:
    data = cask_data(*LIFE)
    whole, faults = read_cask(data)
    assert whole is not None and not faults
    before = facts_of(live(whole, HOUSE, DAY))
    empty = ("last_char_approx", "rechar_count", "never_charred", "in_this_cask_years", "age_years", "oak_since", "minimum_age_on", "wood_left")
    nothing = [name for name in COUNTED if name not in empty and getattr(before, name) in (None, 0, {}, [])]
    assert nothing == [], "let an entry of LIFE count for each of these, or name it in `empty`: what an empty cask has none of"
    more = {"no known job": ev("2020-01-03", "stak", id="e0000099"), "one id twice": ev("2020-01-03", "note", note="x", id="e0000002")}
    cask, _ = read_cask({**data, "events": [*data["events"], *([more[how]] if how in more else [])]})
    assert cask is not None
    cask = replace(cask, in_conflict=how == "the other side of a merge")
    other, _ = read_cask(cask_data(cask="TH-000008"))
    assert other is not None and not other.events
    life = live_with(cask, HOUSE, DAY, (other,) if how == "a joined file without an entry" else (), ["TH-000008"] if "joined" in how else [])
    facts = facts_of(life)
    assert {name: getattr(facts, name) for name in (*COUNTED, *STATE)} == dict.fromkeys((*COUNTED, *STATE))
    text = card(life, facts, judge(life, facts), width=None)
    for said in ("? here · ? in its life · ? since char", "char    unknown: when it was last charred cannot be read", "wood    ? years with spirit here",
                 "the last that can be read: 2025-02-07 FAIL", "what is in it cannot be told", "RETEST since 2025-02-07: as far as can be read: failed"):  # fmt: skip
        assert said in text, text
    for counted in ("1 hoop changed", "30 of 31", "at least", "no pass called for", "nobody wrote"):
        assert counted not in text.partition("  due ")[0], text


def test_without_any_test_or_work_the_card_says_that_it_cannot_be_told() -> None:
    data = cask_data(*LIFE[:1], ev("2020-01-03", "stak"))
    cask, _ = read_cask(data)
    assert cask is not None
    life = live(cask, HOUSE, DAY)
    assert "test    none that can be read · whether a pass is called for cannot be told" in card(life, facts_of(life), [], width=None)


@pytest.mark.thorough
def test_list_query_and_show_say_null_with_an_index_and_without(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = tmp_path / "book"
    (root / "casks/TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n", encoding="utf-8")
    data = cask_data(*LIFE, ev("2020-01-03", "stak", id="e0000099"))
    (root / "casks/TH-004/TH-004217.yaml").write_text(json.dumps(data), encoding="utf-8")
    names = [name for name in (*COUNTED, *STATE) if name in {column.name for column in CASK}]
    for index in ("", "off"):
        monkeypatch.setenv("CASKBOOK_INDEX", index)
        for words in (("show", "TH-004217"), ("list", "--columns", ",".join(names)), ("query", f"SELECT {', '.join(names)} FROM cask")):
            ran = caskbook(*words, "--format", "json", "--as-of", "2026-02-01", "--records", str(root))
            told = json.loads(ran.stdout)
            row = told if isinstance(told, dict) else told[0]
            assert {name: row[name] for name in names} == dict.fromkeys(names), (words, index)
        lists = " OR ".join(f"{column.name} IS NOT NULL" for column in CASK if column.kind in ("list", "map") and column.name in names)
        assert json.loads(caskbook("query", f"SELECT cask FROM cask WHERE {lists}", "--format", "json", "--records", str(root)).stdout) == []
        due = json.loads(caskbook("due", "retest", "--format", "json", "--as-of", "2026-02-01", "--records", str(root)).stdout)
        assert [one["reasons"][0].partition(": ")[0] for one in due] == ["as far as can be read"]


def test_what_is_unsure_with_a_field_is_a_fact() -> None:
    """A name that is none breaks every screen of a cask on which such a field is lost."""
    told = {fact for facts in _FACTS.values() for names in facts.values() for fact in names}
    assert told <= {field.name for field in fields(Facts)}, "a row of _FACTS comes with the column, not before it"
