"""What a child inherits: the highest counts, the earliest days, and unknown where any parent is unknown."""

from __future__ import annotations

from datetime import date

from casks import HOUSE, cask_of, ev, facts_on, life_on

from caskbook.ledger.lineage import held_by, inherited_from, life_before

ARRIVED = ev("2020-01-01", "receive", verdict="accept")
FILL = ev("2020-01-03", "fill", spirit="malt", litres=195, abv=63.5, at_20=True)
EMPTY = ev("2022-01-03", "empty", litres=180, abv=62, at_20=True)
OPEN = ev("2022-01-04", "open", heads=["A", "B"])
CHAR = ev("2022-01-05", "char", level=3)


def test_the_highest_counts_and_the_earliest_days() -> None:
    old = life_on("2024-01-01", ARRIVED, FILL, EMPTY, charred=2011)
    charred = life_on("2024-01-01", ARRIVED, FILL, EMPTY, OPEN, CHAR, prior=[{"contents": "bourbon", "fills": 3}])
    # old: one fill before, one here, all since the char of 2011. The other: three and one, none since its re-char of 2022.
    assert inherited_from([old, charred], unnumbered=False) == {
        "fills_life": 4, "fills_of_class": 1, "fills_since_char": 2, "fills_since_fire": 2, "char_count": 2, "rechar_count": 1,
        "fills_life_min": 4, "last_char": 2011, "last_fire": 2011, "held": "spirit",
    }  # fmt: skip
    assert inherited_from([charred], unnumbered=False)["last_char"] == date(2022, 1, 5)


def test_unknown_where_any_parent_is_unknown_or_has_no_number() -> None:
    known = life_on("2024-01-01", ARRIVED)
    unknown = life_on("2024-01-01", ARRIVED, FILL, prior="absent", charred="unknown")
    mixed = inherited_from([known, unknown], unnumbered=False)
    assert [mixed[name] for name in ("fills_life", "fills_since_char", "char_count", "last_char", "last_fire")] == [None] * 5
    assert mixed["fills_life_min"] == 1 and mixed["held"] == "unknown" and mixed["rechar_count"] == 0
    assert inherited_from([known], unnumbered=True)["fills_life"] is None
    assert inherited_from([], unnumbered=True)["held"] == "unknown"


def test_never_charred_is_known_and_a_wine_cask_makes_its_child_wine_held() -> None:
    virgin = life_on("2024-01-01", ARRIVED, prior=[], charred="never")
    assert held_by(virgin) == "none"
    figures = inherited_from([virgin], unnumbered=False)
    assert figures["char_count"] == 0 and figures["last_char"] is None and figures["held"] == "none" and figures["fills_life"] == 0
    sherry = life_on("2024-01-01", ARRIVED, prior=[{"contents": "oloroso", "fills": 2}])
    assert inherited_from([virgin, sherry], unnumbered=False)["held"] == "wine"


def test_a_child_with_these_figures_counts_as_its_parent_did() -> None:
    parent = [ARRIVED, FILL, EMPTY]
    figures = inherited_from([life_on("2023-01-01", *parent)], unnumbered=False)
    inherited = {name: value for name, value in figures.items() if value is not None}
    child = facts_on("2024-01-01", ev("2024-01-01", "made-from", parents=[{"cask": "TH-001187"}], inherited=inherited), prior="absent", charred="absent")
    before = facts_on("2024-01-01", *parent)
    for name in ("fills_life", "fills_since_char", "fills_of_class", "char_count", "rechar_count", "last_char", "last_char_approx"):
        assert getattr(child, name) == getattr(before, name), name


def test_just_before_an_event_of_the_same_day() -> None:
    cask = cask_of(
        ARRIVED, FILL, EMPTY, ev("2022-01-03", "void", of="e0000003", why="wrong cask"), ev("2022-01-03", "regauge", litres=190, abv=63, method="dip")
    )
    before = life_before(cask, HOUSE, date(2022, 1, 3), "e0000005")
    assert before.state.contents == "spirit" and [event.job for event in before.events] == ["receive", "fill"]
    assert life_before(cask, HOUSE, date(2020, 1, 3), "e0000002").state.contents == "empty"
