"""The taint of a cask goes with its wood: into the casks that it is converted into, and into those that take its staves."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import codes, ev, facts_on, life_on
from commands import caskbook
from due.judged import RECEIVED, examined, nosed, of, passed, said
from entry.shop import Shop, days_ago
from index.book import commit_all, same

from caskbook.ledger.lineage import inherited_from

MUSTY = nosed("2020-02-01", "fault", "musty")
RELEASED = ev("2020-02-02", "release", why="kept", approved_by="KD")
CONVERTED = ev("2020-03-01", "convert", children=["TH-006001"])


@pytest.mark.parametrize(
    ("before", "found"),
    [
        ([], []),
        ([MUSTY], ["convert-while-tainted"]),
        ([MUSTY, RELEASED], ["convert-while-tainted"]),
        ([MUSTY, RELEASED, nosed("2020-02-03", "clean")], []),
        ([MUSTY, nosed("2020-02-03", "clean")], ["convert-while-held"]),
        ([ev("2020-01-20", "hold", why="owner asked"), MUSTY], ["convert-while-held", "convert-while-tainted"]),
        ([ev("2020-01-20", "hold", why="owner asked")], ["convert-while-held"]),
        ([examined("2020-01-20", verdict="reject")], ["convert-while-rejected"]),
        ([examined("2020-01-20", verdict="reject"), RELEASED], []),
        ([ev("2020-01-20", "retire", reasons=["spent"], approved_by="KD")], []),
        ([ev("2020-01-20", "sulphur", grams=5, why="kept")], []),
    ],
)
def test_a_cask_that_a_mark_bars_is_not_converted_without_a_word(before: list[dict[str, Any]], found: list[str]) -> None:
    assert codes(life_on("2020-03-02", RECEIVED, *before, CONVERTED)) == found
    assert codes(life_on("2020-03-02", RECEIVED, *before, {**CONVERTED, "source": "register"})) == []


def parent(*events: dict[str, Any]) -> Any:
    return life_on("2020-02-28", RECEIVED, *events)


def made(**inherited: Any) -> dict[str, Any]:
    return ev("2020-03-01", "made-from", parents=[{"cask": "TH-004217"}], inherited={"held": "spirit", "fills_life": 1, "fills_life_min": 1, **inherited})


TAINTED = [{"cask": "TH-004217", "since": "2020-02-01", "why": "musty"}]
CHILD = {"prior": "absent", "charred": "absent", "cask": "TH-006001"}


def test_a_child_inherits_the_taint_and_the_sulphur_of_its_parents_with_number_and_day() -> None:
    figures = inherited_from([parent(MUSTY, RELEASED), parent()], unnumbered=False)
    assert [(one["cask"], str(one["since"]), one["why"]) for one in figures["tainted"]] == [("TH-004217", "2020-02-01", "musty")]
    assert "sulphured" not in figures and "tainted" not in inherited_from([parent(MUSTY, nosed("2020-02-03", "clean"))], unnumbered=False)
    assert inherited_from([parent(ev("2020-02-01", "sulphur", grams=5, why="kept"))], unnumbered=False)["sulphured"][0]["why"] == "kept"


def test_a_child_of_a_tainted_cask_is_tainted_until_it_is_nosed_clean() -> None:
    life = [made(tainted=TAINTED), examined("2020-03-02"), passed("2020-03-03")]
    facts = facts_on("2020-03-04", *life, **CHILD)
    assert (facts.fitness, facts.taint, facts.state) == ("tainted", True, "tainted")
    told = of("nose", "2020-03-04", *life, **CHILD)
    assert (told.verdict, said(told)) == ("due", "tainted since 2020-03-01 (musty in TH-004217 since 2020-02-01): treat it, then nose again")
    clean = [*life, nosed("2020-03-04", "clean")]
    assert facts_on("2020-03-04", *clean, **CHILD).fitness == "ready" and of("nose", "2020-03-04", *clean, **CHILD).verdict == "ok"
    assert facts_on("2020-03-04", made(sulphured=TAINTED), examined("2020-03-02"), passed("2020-03-03"), **CHILD).fitness == "sulphured"
    assert facts_on("2020-03-04", made(), examined("2020-03-02"), passed("2020-03-03"), **CHILD).fitness == "ready"


def test_of_a_child_it_is_told_what_is_known_of_its_parents_noses() -> None:
    assert said(of("nose", "2020-03-02", made(), **CHILD)) == "held no wine, and no fault of nose told of what it was made from"


def test_the_taint_goes_on_to_the_child_of_a_child() -> None:
    child = life_on("2020-04-01", made(tainted=TAINTED), **CHILD)
    figures = inherited_from([child], unnumbered=False)
    assert [(one["cask"], one["why"]) for one in figures["tainted"]] == [("TH-006001", "musty in TH-004217 since 2020-02-01")]


BARREL = [
    {"date": days_ago(60), "job": "receive", "verdict": "accept"}, {"date": days_ago(59), "job": "nose", "verdict": "fault", "faults": ["musty"]},
]  # fmt: skip
CONVERT = ("convert", "TH-004217", "--into", "1 hogshead", "--as", "TH-006001", "--capacity", "250", "--yes")


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    return Shop(tmp_path)


def test_enter_refuses_the_conversion_without_a_reason_and_writes_what_the_child_inherits(shop: Shop) -> None:
    shop.put(*BARREL)
    ran = shop.enter(*CONVERT)
    assert ran.code == 1 and "converted while its nose is at fault" in ran.err and "add --anyway" in ran.err and not shop.path("TH-006001").exists()
    ran = shop.enter(*CONVERT, "--anyway", "--why", "wood is planed")
    assert ran.code == 0, ran.err
    given = yaml.safe_load(shop.path("TH-006001").read_text(encoding="utf-8"))["events"][0]["inherited"]
    assert given["tainted"] == [{"cask": "TH-004217", "since": days_ago(59), "why": "musty"}]
    assert shop.codes() == ["convert-while-tainted"]


def test_check_tells_a_child_whose_file_does_not_say_the_taint(shop: Shop) -> None:
    shop.put(*BARREL)
    assert shop.enter(*CONVERT, "--anyway", "--why", "wood is planed").code == 0
    path = shop.path("TH-006001")
    whole = path.read_text(encoding="utf-8")
    at = whole.index("      tainted:")
    path.write_text(whole[:at] + whole[whole.index("\n", whole.index("- {", at)) + 1 :], encoding="utf-8")
    told = json.loads(caskbook("check", "--format", "json", cwd=shop.root).stdout)["findings"]
    assert ("inherited-figures-differ", f"`tainted` is unknown: the parents give TH-004217 since {days_ago(59)} (musty)") in [
        (one["code"], one["message"]) for one in told
    ]
    path.write_text(whole, encoding="utf-8")
    shop.put(BARREL[0], {"date": days_ago(0), "id": whole.split("id: ")[1].split()[0], "job": "convert", "children": ["TH-006001"]})
    told = json.loads(caskbook("check", "--format", "json", cwd=shop.root).stdout)["findings"]
    assert [(one["code"], one["message"]) for one in told] == [
        ("inherited-figures-differ", f"`tainted` is TH-004217 since {days_ago(59)} (musty): the parents give none")
    ]


@pytest.mark.thorough
def test_the_child_is_told_alike_with_the_index_and_without_and_when_its_parent_changes(shop: Shop) -> None:
    shop.put(*BARREL)
    commit_all(shop.root)
    assert shop.enter(*CONVERT, "--anyway", "--why", "wood is planed").code == 0
    for words in (("check", "--format", "json"), ("due", "--all", "--format", "json"), ("ready",), ("list",), ("show", "TH-006001")):
        same(shop.root, *words, day=None)
    assert "TAINTED" in same(shop.root, "show", "TH-006001", day=None)[1]
    assert "inherited-figures-differ" not in same(shop.root, "check", "--format", "json", day=None)[1]
    ran = caskbook("enter", "nose", "TH-004217", "clean", "--date", str(days_ago(50)), "--yes", cwd=shop.root)
    assert ran.returncode == 0, ran.stderr
    assert "inherited-figures-differ" in same(shop.root, "check", "--format", "json", day=None)[1]


SPOILT = [
    *BARREL,
    {"date": days_ago(58), "job": "retire", "reasons": ["musty"], "approved_by": "kd"},
    {"date": days_ago(57), "job": "break-up", "staves_saved": 20},
]
SOUND = [{"date": days_ago(60), "job": "receive", "verdict": "accept"}]
STAVE = ("stave", "TH-004217", "--staves", "4", "--action", "replace", "--from", "TH-001187", "--date", str(days_ago(5)), "--yes")
HEAD = ("head", "TH-004217", "--head", "B", "--action", "replace", "--from", "TH-001187", "--date", str(days_ago(5)), "--yes")
ANYWAY = ("--anyway", "--why", "planed")
PART = "part-from-tainted-cask"


def given(day: str, **fields: Any) -> dict[str, Any]:
    return ev(day, "stave", staves=["4"], action="replace", from_="TH-001187", **fields)


def repaired(*staves: dict[str, Any]) -> list[dict[str, Any]]:
    return [RECEIVED, ev("2020-02-01", "open", heads=["A"]), *staves, ev("2020-02-02", "close", heads=["A"]), examined("2020-02-03"), passed("2020-02-03")]


def test_a_cask_with_a_stave_of_a_tainted_one_wants_a_clean_nose() -> None:
    life = repaired(given("2020-02-01", from_tainted="musty since 2019-01-01"))
    assert facts_on("2020-02-04", *life).fitness == "unexamined" and facts_on("2020-02-04", *repaired(given("2020-02-01"))).fitness == "ready"
    told = of("nose", "2020-02-04", *life)
    assert (told.verdict, str(told.since)) == ("due", "2020-02-01")
    assert said(told) == "stave-4 from TH-001187, tainted there (musty since 2019-01-01): nose before it is filled"
    clean = [*life, nosed("2020-02-04", "clean")]
    assert facts_on("2020-02-04", *clean).fitness == "ready" and of("nose", "2020-02-04", *clean).verdict == "ok"
    again = [*life[:2], nosed("2020-02-01", "clean"), *life[2:]]
    assert facts_on("2020-02-04", *again).fitness == "unexamined"
    kept = [*repaired(given("2020-02-01")), ev("2020-02-03", "decide", rule="nose", outcome="keep", why="nosed at the bench", approved_by="KD")]
    assert of("nose", "2020-02-05", *kept, ev("2020-02-04", "open", heads=["A"]), given("2020-02-04", from_tainted="musty since 2019-01-01")).verdict == "due"


@pytest.mark.parametrize("words", [STAVE, HEAD])
def test_enter_tells_that_the_donor_was_tainted_and_writes_it(shop: Shop, words: tuple[str, ...]) -> None:
    shop.put(*SPOILT, cask="TH-001187")
    shop.put(*SOUND)
    ran = shop.enter(*words)
    assert ran.code == 1 and f"`from` is TH-001187: its nose was at fault, since {days_ago(59)}" in ran.err and "add --anyway" in ran.err
    ran = shop.enter(*words, *ANYWAY)
    assert ran.code == 0, ran.err
    assert shop.last()["from_tainted"] == f"musty since {days_ago(59)}" and shop.codes() == [PART]
    assert "tainted: musty since" in caskbook("show", "TH-004217", cwd=shop.root).stdout


def test_another_donor_takes_the_word_of_its_taint_away_and_hoops_carry_none(shop: Shop) -> None:
    shop.put(*SPOILT, cask="TH-001187")
    shop.put(*SOUND)
    assert shop.enter(*STAVE, *ANYWAY).code == 0
    replaced = shop.enter("stave", "TH-004217", "--replaces", shop.last()["id"], "--from", "new", "--why", "new wood", "--yes")
    assert replaced.code == 0 and "from_tainted" not in shop.last() and shop.codes() == [], replaced.err
    ran = shop.enter("hoop", "TH-004217", "--hoops", "A-1", "--from", "TH-001187", "--date", str(days_ago(5)), "--yes")
    assert ran.code == 0, ran.err


WOOD = "stave-4 from TH-001187, tainted there (musty since 2019-01-01)"


def test_wood_of_a_tainted_cask_that_nobody_nosed_goes_on_into_a_child_and_calls_for_a_nose_there() -> None:
    mended = repaired(given("2020-02-01", from_tainted="musty since 2019-01-01"))
    figures = inherited_from([life_on("2020-02-28", *mended)], unnumbered=False)
    assert [(one["cask"], str(one["since"]), one["why"]) for one in figures["tainted_wood"]] == [("TH-004217", "2020-02-01", WOOD)]
    assert "tainted_wood" not in inherited_from([life_on("2020-02-28", *mended, nosed("2020-02-04", "clean"))], unnumbered=False)
    life = [made(tainted_wood=[{"cask": "TH-004217", "since": "2020-02-01", "why": WOOD}]), examined("2020-03-02"), passed("2020-03-03")]
    assert facts_on("2020-03-04", *life, **CHILD).fitness == "unexamined"
    told = of("nose", "2020-03-04", *life, **CHILD)
    assert (told.verdict, said(told)) == ("due", f"{WOOD}, in TH-004217 since 2020-02-01: nose before it is filled")
    clean = [*life, nosed("2020-03-04", "clean")]
    assert facts_on("2020-03-04", *clean, **CHILD).fitness == "ready" and of("nose", "2020-03-04", *clean, **CHILD).verdict == "ok"
    again = inherited_from([life_on("2020-04-01", *life, **CHILD)], unnumbered=False)
    assert [(one["cask"], one["why"]) for one in again["tainted_wood"]] == [("TH-006001", f"{WOOD}, in TH-004217 since 2020-02-01")]


MENDED = [
    {"date": days_ago(60), "job": "receive", "verdict": "accept"},
    {"date": days_ago(50), "job": "open", "heads": ["A"]},
    {"date": days_ago(50), "job": "stave", "staves": [4], "action": "replace", "from": "TH-001188", "from_tainted": "musty since 2019-01-01"},
    {"date": days_ago(50), "job": "close", "heads": ["A"]},
]
LATER = [
    {"date": days_ago(49), "job": "retire", "reasons": ["old"], "approved_by": "kd"},
    {"date": days_ago(48), "job": "break-up", "staves_saved": 20, "heads_saved": 2},
]
GONE_ON = "stave-4 from TH-001188, tainted there (musty since 2019-01-01)"


def test_enter_writes_into_a_child_what_wood_of_tainted_casks_was_in_its_parents_and_check_misses_it(shop: Shop) -> None:
    shop.put(*SPOILT, cask="TH-001188")
    shop.put(*MENDED)
    ran = shop.enter(*CONVERT)
    assert ran.code == 0, ran.err
    path = shop.path("TH-006001")
    whole = path.read_text(encoding="utf-8")
    assert yaml.safe_load(whole)["events"][0]["inherited"]["tainted_wood"] == [{"cask": "TH-004217", "since": days_ago(50), "why": GONE_ON}]
    assert shop.codes() == [PART]
    assert "nose before it is filled" in caskbook("due", "nose", cwd=shop.root).stdout
    at = whole.index("      tainted_wood:")
    path.write_text(whole[:at] + whole[whole.index("\n", whole.index("why:", at)) + 1 :], encoding="utf-8")
    told = json.loads(caskbook("check", "--format", "json", cwd=shop.root).stdout)["findings"]
    assert [one["message"] for one in told if one["code"] == "inherited-figures-differ"] == [
        f"`tainted_wood` is unknown: the parents give TH-004217 since {days_ago(50)} ({GONE_ON})"
    ]


@pytest.mark.parametrize("words", [STAVE, HEAD])
def test_wood_of_a_cask_that_had_wood_of_a_tainted_one_is_told_as_that(shop: Shop, words: tuple[str, ...]) -> None:
    shop.put(*MENDED, *LATER, cask="TH-001187")
    shop.put(*SPOILT, cask="TH-001188")
    shop.put(*SOUND)
    ran = shop.enter(*words)
    assert ran.code == 1 and f"`from` is TH-001187: it has tainted wood, since {days_ago(50)}" in ran.err and "add --anyway" in ran.err
    ran = shop.enter(*words, *ANYWAY)
    assert ran.code == 0, ran.err
    assert shop.last()["from_tainted"] == f"{GONE_ON} since {days_ago(50)}" and shop.codes() == [PART]
    assert "nose before it is filled" in caskbook("due", "nose", "TH-004217", cwd=shop.root).stdout
    shop.put(*MENDED, {"date": days_ago(50), "job": "nose", "verdict": "clean"}, *LATER, cask="TH-001187")
    shop.put(*SOUND)
    ran = shop.enter(*words)
    assert ran.code == 0 and "from_tainted" not in shop.last(), ran.err


@pytest.mark.thorough
def test_a_donor_that_changes_changes_what_is_told_of_its_taker_with_the_index_and_without(shop: Shop) -> None:
    shop.put(*SPOILT, cask="TH-001187")
    shop.put(
        *SOUND,
        {"date": days_ago(6), "job": "open", "heads": ["A"]},
        {"date": days_ago(5), "job": "stave", "staves": [4], "action": "replace", "from": "TH-001187"},
    )
    commit_all(shop.root)
    told = same(shop.root, "check", "--format", "json", day=None)[1]
    assert f"its nose was at fault, since {days_ago(59)}; not told here" in told
    for words in (("due", "--all", "--format", "json"), ("ready",), ("show", "TH-004217")):
        same(shop.root, *words, day=None)
    shop.put(*SPOILT[:2], {"date": days_ago(58), "job": "nose", "verdict": "clean"}, *SPOILT[2:], cask="TH-001187")
    assert PART not in same(shop.root, "check", "--format", "json", day=None)[1]


def test_what_can_be_done_with_a_tainted_cask_says_that_its_wood_is_tainted(shop: Shop) -> None:
    shop.put(*BARREL)
    assert "31 staves, all first ones;" in caskbook("report", "retirement", "TH-004217", cwd=shop.root).stdout
    shop.put(*BARREL[:1])
    assert "31 staves, all first ones;" not in caskbook("report", "retirement", "TH-004217", cwd=shop.root).stdout
    shop.put(*MENDED)
    assert "31 staves, 30 first ones;" in caskbook("report", "retirement", "TH-004217", cwd=shop.root).stdout
