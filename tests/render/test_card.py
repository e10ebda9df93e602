"""The bench card at 80 columns: golden files, and what must hold of every card."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from casks import cask_of, ev, life_on
from rich.cells import cell_len

from caskbook.life import Life, live
from caskbook.life.facts import facts_of
from caskbook.model.house import House
from caskbook.render.card import card, card_text, joined_card
from caskbook.render.card_parts import char_parts
from render import lives
from render.lives import Said, agrees, life_of

BUSY = (
    Said("nose", "due", ("tainted since 2026-11-21: nose before anything else",), date(2026, 11, 21)),
    Said("rechar", "blocked", ("re-charred twice: the house allows no third",)),
    Said("examine", "at-emptying", ("filled",)),
    Said("retire", "at-emptying", ("filled",)),
    Said("claim", "ok", decided="claimed on 2015-03-30 (approved kd)"),
)
CARDS: dict[str, tuple[Callable[[], Life], tuple[Said, ...]]] = {
    "card-worked": (lives.worked, (Said("examine", "at-emptying"),)),
    "card-unknown-past": (lives.unknown_past, (Said("rechar", "unknown"),)),
    "card-sherry-butt": (lives.sherry_butt, BUSY),
    "card-open": (lives.on_the_bench, (Said("retest", "due", ("not proved since work on 2026-11-05",), date(2026, 11, 3)),)),
    "card-leaking": (lives.leaking, (Said("look", "due", ("drip at joint-3 seen 2026-11-24: the house looks again the same day",), date(2026, 11, 24)),)),
    "card-gone": (lives.broken_up, ()),
    "card-made-here": (lives.made_here, ()),
    "card-put-right": (lives.put_right, ()),
}


@pytest.mark.parametrize("name", CARDS)
def test_golden(name: str, request: pytest.FixtureRequest) -> None:
    make, verdicts = CARDS[name]
    life = make()
    agrees(name, card(life, facts_of(life), verdicts), request)


@pytest.mark.parametrize("name", CARDS)
@pytest.mark.parametrize("width", [40, 57, 80, 133])
@pytest.mark.parametrize("every", [False, True])
def test_no_line_is_wider_than_asked(name: str, width: int, every: bool) -> None:
    make, verdicts = CARDS[name]
    life = make()
    for ascii in (False, True):
        text = card(life, facts_of(life), verdicts, width=width, all_events=every, ascii=ascii)
        assert max(map(cell_len, text.split("\n"))) <= width
        assert not ascii or text.isascii()


def shown(life: Life, *verdicts: Said, width: int | None = 80, every: bool = False) -> str:
    return card(life, facts_of(life), verdicts, width=width, all_events=every)


def test_the_answer_comes_first() -> None:
    assert shown(lives.worked()).split("\n")[0].startswith("TH-004217   barrel · 200 L")
    assert shown(lives.worked()).split("\n")[0].endswith(" FILLED")


@pytest.mark.parametrize(
    ("head", "says"),
    [
        ({"prior": "absent", "charred": "absent"}, ["0 here", "? in its life", "? of our spirits", "? since char", "unknown: nobody wrote"]),
        ({"prior": [{"contents": "bourbon", "fills": 2}, {"contents": "malt"}]}, ["at least 2 in its life", "at least 2 since char", "malt (? fills)"]),
        ({"prior": [], "charred": "never"}, ["0 in its life", "never charred", "virgin when it came"]),
        ({"charred": "2011-06"}, ["about 2011-06, before us"]),
        ({"staves": "absent"}, ["staves not counted"]),
    ],
)
def test_unknown_is_said(head: dict[str, object], says: list[str]) -> None:
    text = shown(life_of(ev("2015-03-12", "receive", verdict="accept"), **head))
    for words in says:
        assert words in text


def test_before_its_first_entry() -> None:
    text = shown(lives.worked("2015-03-01"))
    assert "NOT HERE YET" in text and "its first entry is of 2015-03-12" in text and "fills" not in text


@pytest.mark.parametrize(
    ("day", "says", "later"),
    [
        ("2014-12-31", ["nothing entered up to 2014-12-31; its first entry is of 2015-01-01"], ["2015-01-02"]),
        ("2015-01-01", ["only notes, marks and moves are entered", "seen in the yard (other number)"], ["accept", "first entry"]),
    ],
)
def test_before_it_came_under_any_of_its_numbers(day: str, says: list[str], later: list[str]) -> None:
    other = life_of(ev("2015-01-01", "note", note="seen in the yard"), ev("2015-01-02", "receive", verdict="accept"), cask="TH-000009").cask
    mine = life_of(ev("2015-03-01", "receive", verdict="accept"), ev("2016-01-01", "same-as", of="TH-000009", why="two lids")).cask
    text = shown(live(mine, lives.HOUSE, date.fromisoformat(day), [other]))
    assert "NOT HERE YET" in text and all(words in text for words in says) and not any(words in text for words in later), text


def test_a_receipt_voided_under_the_other_number_too() -> None:
    """What was voided is told by its last receipt, whichever file it stands in."""
    other = cask_of(ev("2015-04-02", "receive", verdict="accept"), ev("2015-04-03", "void", of="e0000001", why="not ours"), cask="TH-000009")
    mine = cask_of(
        ev("2015-03-01", "receive", verdict="accept"), ev("2015-03-02", "void", of="e0000001", why="not ours"), ev("2016-01-01", "same-as", of="TH-000009", why="two lids")
    )  # fmt: skip
    assert "its receipt of 2015-04-02 was voided: not in stock" in shown(live(mine, lives.HOUSE, date(2021, 1, 1), [other]))
    stands = cask_of(ev("2022-04-02", "receive", verdict="accept"), cask="TH-000009")
    assert "only notes, marks and moves are entered" in shown(live(mine, lives.HOUSE, date(2021, 1, 1), [stands]))


@pytest.mark.thorough
def test_an_earlier_day_says_so() -> None:
    assert "as of 2019-06-11: 10 later entries left out" in shown(lives.worked("2019-06-11"))


@pytest.mark.parametrize(
    ("events", "says"),
    [
        ([ev("2020-01-02", "send", to="shop-hart", why="new heads")], ["AWAY", "away since 2020-01-02 to shop-hart: new heads"]),
        ([ev("2020-01-02", "missing")], ["MISSING", "missing since 2020-01-02, last at Y2"]),
        ([ev("2020-01-02", "dispose", how="sold", to="Hart")], ["GONE", "gone 2020-01-02: sold to Hart"]),
        ([ev("2020-01-02", "knock-down", staves=31)], ["SHOOK"]),
        ([ev("2020-01-02", "hold", why="lid stained")], ["HELD since 2020-01-02: lid stained"]),
    ],
)
def test_where_it_is(events: list[dict[str, object]], says: list[str]) -> None:
    text = shown(life_of(ev("2020-01-01", "receive", verdict="accept", berth="Y2"), *events))
    for words in says:
        assert words in text


def test_a_pass_that_is_called_for() -> None:
    begin = [ev("2026-01-01", "receive", verdict="accept"), ev("2026-09-01", "open", heads=["A"]), ev("2026-09-01", "close", heads=["A"])]
    passed = [ev("2026-09-02", "test", psi=11, result="pass")]
    assert "NEEDS A PASS" in shown(life_of(*begin))
    assert "pass needed: good, 28 of 60 days old" in shown(life_of(*begin, *passed, day="2026-09-30"))
    assert "NEEDS A PASS: the last is out of date, 84 days old, limit 60" in shown(life_of(*begin, *passed)).replace("\n" + " " * 10, " ")


def test_the_place_of_an_earlier_fail_is_not_forgotten() -> None:
    text = shown(
        life_of(
            ev("2016-01-01", "receive", verdict="accept"),
            ev("2016-01-02", "test", psi=11, result="fail", leaks=[{"at": "croze-A-14"}]),
            ev("2016-01-02", "test", psi=11, result="pass"),
            ev("2016-01-02", "fill", spirit="malt", litres=190, abv=60),
            ev("2020-01-02", "empty", litres=160, abv=55),
            ev("2020-01-05", "test", psi=11, result="pass"),
        )
    )
    assert "last fail 2016-01-02 at croze-A-14" in text


def test_what_is_quiet_is_told() -> None:
    assert "nothing" not in [line[10:] for line in shown(lives.worked(), *BUSY).split("\n") if line.startswith("  due")]
    assert "claim quiet: claimed on 2015-03-30" in shown(lives.worked(), *BUSY)


EVIL = "a\u202eb \u200b[red]x[/red] \u2066é" + "\u0301" * 50 + " 日本語の樽 " + "long " * 300


def test_hostile_words_are_shown_harmlessly() -> None:
    life = life_of(
        ev("2020-01-01", "receive", verdict="hold", why=EVIL, berth=EVIL, by=EVIL),
        ev("2020-01-03", "note", note=EVIL),
        ev("2020-01-04", "send", to=EVIL, why=EVIL),
        maker=EVIL, supplier=EVIL, parcel=EVIL, was=[EVIL], owner=EVIL, wood=EVIL, house=House({"stores": {"a": EVIL}}),
    )  # fmt: skip
    for width in (40, 80, 120, None):
        text = shown(life, Said("look", "due", (EVIL + "\x1b[2J\n\r\x07",)), width=width, every=True)
        assert all(sign == "\n" or sign.isprintable() for sign in text)
        assert "\\u202e" in text and "[red]" in text
        assert width is None or max(map(cell_len, text.split("\n"))) <= width


def test_columns_stay_aligned_under_wide_signs() -> None:
    life = life_of(ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "note", note="日本語の樽 é e\u0301"), ev("2020-01-03", "note", note="plain"))
    rows = [line for line in shown(life).split("\n") if line.startswith("  2020-")]
    assert len({cell_len(row[: row.rindex("  ab")]) for row in rows}) == 1


def test_out_of_force_reads_without_colour_and_is_struck_with_it() -> None:
    life = lives.put_right()
    text = card_text(life, facts_of(life), (), all_events=True)
    struck = [text.plain[span.start : span.end] for span in text.spans if span.style == "strike"]
    assert len(struck) == 3 and all(f"× {row}" in text.plain for row in struck)
    assert "void: wrong cask, it was TH-004271" in text.plain


def test_a_joined_number() -> None:
    assert joined_card("TH-004218", "TH-004217").split("\n")[0] == "TH-004218   joined: TH-004217"


@pytest.mark.parametrize(("day", "end"), [("2026-04-01", "before us"), ("2026-12-31", "before us · 183 days ago")])
def test_a_char_of_this_year_was_not_some_days_ahead(day: str, end: str) -> None:
    """A year alone counts from its July, as the contract has it; before that day nobody knows how long ago it was."""
    life = life_on(day, ev("2026-03-01", "receive", verdict="accept"), charred=2026)
    assert " · ".join(char_parts(life, facts_of(life))) == f"about 2026, {end}"
