"""All rules together: who is judged at all, decisions, ranking, and until when an answer stands."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from casks import HOUSE, cask_of, ev, life_on

from caskbook.due import RULES, Verdict, changes_on, judge, ranked, registry, rule_named
from caskbook.life.facts import facts_of
from caskbook.loss import PeerTable
from caskbook.model.house import DueRules, House
from caskbook.model.jobs.custody import DueName
from due.judged import RECEIVED, emptied, examined, failed, filled, nosed, of


def judged(day: str, *events: dict[str, object], house: House = HOUSE, **head: object) -> list[Verdict]:
    life = life_on(day, *events, house=house, **head)
    return judge(life, facts_of(life), peers=PeerTable())


def test_one_verdict_a_rule() -> None:
    assert [v.rule for v in judged("2020-02-01", RECEIVED)] == [rule.name for rule in RULES]
    assert {rule.name for rule in RULES} == set(DueName.__args__) == set(DueRules.model_fields)  # type: ignore[attr-defined]
    assert [rule.rank for rule in RULES] == sorted(rule.rank for rule in RULES)


def test_the_list_says_the_rank_of_each_rule() -> None:
    rows = re.findall(r"^    (\w+),  # rank (\d)$", Path(registry.__file__).read_text(encoding="utf-8"), re.M)
    assert rows == [(rule.name.upper(), str(rule.rank)) for rule in RULES]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_rule_explains_itself(rule: object) -> None:
    text = getattr(rule, "text", "")
    places = [text.index(f"\n{part}: ") for part in ("What", "Why", "When it is due", "What to do")]
    assert places == sorted(places)
    assert rule_named(getattr(rule, "name", "")) is rule
    assert rule_named("lost") is None


def test_before_the_first_event_gone_and_missing_there_is_nothing() -> None:
    assert judged("2020-01-09", RECEIVED) == []
    gone = [RECEIVED, ev("2020-02-01", "dispose", how="sold")]
    assert judged("2020-02-01", *gone) == []
    assert judged("2020-02-02", RECEIVED, ev("2020-02-01", "missing")) == []
    assert len(judged("2020-02-05", RECEIVED, ev("2020-02-01", "missing"), ev("2020-02-05", "found"))) == len(RULES)


def test_a_cask_that_is_away_has_no_bench_work() -> None:
    away = [RECEIVED, ev("2020-01-11", "hold", why="to be looked at"), ev("2020-01-12", "send", to="shop-hollow", why="work")]
    assert [(v.rule, v.verdict) for v in judged("2020-02-01", *away)] == [("hold", "due"), ("claim", "ok")]


def test_nothing_for_ever_on_a_gone_cask_but_the_next_entry() -> None:
    life = life_on("2020-02-05", RECEIVED, ev("2020-02-01", "dispose", how="sold"))
    assert changes_on(life, []) is None
    life = life_on("2020-01-01", RECEIVED)
    assert str(changes_on(life, judge(life, facts_of(life)))) == "2020-01-10"


def test_a_later_entry_of_the_file_bounds_every_answer_but_a_void_one_does_not() -> None:
    later = [RECEIVED, examined("2020-01-10"), ev("2020-01-15", "note", note="seen"), ev("2020-06-01", "void", of="e0000003", why="wrong cask")]
    verdict = of("examine", "2020-01-12", *later)
    assert str(verdict.changes_on) == "2020-02-03"
    assert str(of("hold", "2020-01-12", *later).changes_on) == "2020-06-01"


def test_voided_decisions_do_not_count() -> None:
    quiet = ev("2020-01-12", "decide", rule="examine", outcome="keep", why="in hand", approved_by="K. Dunmore")
    assert of("examine", "2020-02-01", RECEIVED, quiet).verdict == "ok"
    assert of("examine", "2020-02-01", RECEIVED, quiet, ev("2020-01-13", "void", of="e0000002", why="wrong cask")).verdict == "due"


def test_the_last_decision_counts_and_its_reference_is_told() -> None:
    first = ev("2020-01-12", "decide", rule="claim", outcome="claimed", ref="NQ-17", why="sent", approved_by="K. Dunmore")
    second = ev("2020-01-20", "decide", rule="claim", outcome="credited", why="paid", approved_by="K. Dunmore")
    found = [RECEIVED, failed("2020-01-11")]
    assert of("claim", "2020-01-15", *found, first, second).decided == "claimed (NQ-17) by K. Dunmore: sent"
    assert of("claim", "2020-01-25", *found, first, second).decided == "credited by K. Dunmore: paid"


def test_the_ranking() -> None:
    full = [RECEIVED, examined("2020-01-10"), filled("2020-01-20")]
    wine = {"type": "butt", "capacity_l": 500, "prior": [{"contents": "oloroso", "fills": 1}]}
    verdicts = [
        *judged("2026-11-25", *full, emptied("2026-11-20"), cask="TH-003377"),
        *judged("2026-11-25", *full, emptied("2026-11-10"), cask="TH-003378"),
        *judged("2026-11-25", *full, emptied("2026-11-20"), cask="TH-004390", **wine),
        *judged("2026-11-25", *full, ev("2026-11-24", "leak", at="joint-3", severity="drip"), cask="TH-004402"),
        *judged("2026-11-25", *full, ev("2026-11-25", "leak", at="joint-3", severity="run"), cask="TH-004403"),
        *judged("2026-11-25", *full, nosed("2026-11-01", "fault"), emptied("2026-11-02"), cask="TH-004404"),
        *judged("2026-11-25", RECEIVED, ev("2026-11-20", "hold", why="mark unreadable"), cask="TH-004405"),
    ]
    due = [(v.cask, v.rule) for v in ranked(verdicts) if v.verdict == "due" and v.rule in ("look", "hold", "nose", "examine")]
    assert due[:7] == [
        ("TH-004403", "look"), ("TH-004402", "look"), ("TH-004405", "hold"), ("TH-004404", "nose"), ("TH-004390", "nose"),
        ("TH-004405", "examine"), ("TH-004404", "examine"),
    ]  # fmt: skip
    assert [cask for cask, _ in due[7:]] == ["TH-003378", "TH-003377", "TH-004390"]
    words = [v.verdict for v in ranked(verdicts)]
    order = ["due", "blocked", "soon", "at-emptying", "unknown", "ok"]
    assert [word for word in order[2:] for _ in range(words.count(word))] == words[words.count("due") + words.count("blocked") :]


def test_well_past_comes_first_in_its_rank() -> None:
    def verdict(cask: str, **fields: object) -> Verdict:
        base = {"verdict": "due", "since": None, "well_past": False, "reasons": (), "decided": None, "changes_on": None}
        return Verdict(cask, "barrel", None, **{"rule": "rechar", **base, **fields})  # type: ignore[arg-type]

    listed = [verdict("TH-0001"), verdict("TH-0002", well_past=True), verdict("TH-0003", rule="nose"), verdict("TH-0004", rule="claim")]
    assert [v.cask for v in ranked(listed)] == ["TH-0003", "TH-0002", "TH-0001", "TH-0004"]


def test_the_answer_for_machines() -> None:
    assert of("examine", "2020-02-01", RECEIVED).as_dict() == {
        "cask": "TH-004217", "rule": "examine", "verdict": "due", "since": "2020-01-10", "well_past": False,
        "reasons": ["received 2020-01-10, not examined since"], "decided": None,
    }  # fmt: skip


def test_a_joined_file_makes_a_later_setting_a_bound() -> None:
    house = House({**HOUSE.raw, "wine_words": [{"since": "2020-03-01", "value": ["tokay"]}]})
    joined = ev("2020-01-11", "same-as", of="TH-004218", why="two numbers")
    assert str(of("hold", "2020-02-01", RECEIVED, joined, house=house).changes_on) == "2020-03-01"
    assert of("hold", "2020-02-01", RECEIVED, house=house).changes_on is None
    tokay = of("nose", "2020-02-01", RECEIVED, house=house, prior=[{"contents": "tokay"}])
    assert (tokay.verdict, str(tokay.changes_on)) == ("ok", "2020-03-01")
    assert cask_of(RECEIVED).id == "TH-004217"
