"""A racking, a conversion or swapped heads that one of two files alone tells: what is in the cask whose own file is silent, and whether it is fit, nobody
can tell, be there an index or not; and it is told again as soon as the other file tells so, or goes."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from casks import ev
from commands import caskbook

from caskbook.cli import common
from index.test_two_files import found, put

DAY = ("--as-of", "2026-11-29")
NOON = datetime(2026, 11, 29, 12, 0, tzinfo=UTC)
ONE, TWO, THREE = "TH-000001", "TH-000002", "TH-000003"
CAME = ev("2026-11-01", "receive", verdict="accept", contents="empty")
SOUND = {**ev("2026-11-04", "examine", verdict="sound"), "id": "e0000060"}
OPEN = {**ev("2026-11-05", "open", heads=["A"]), "id": "e0000065"}
FILL = {**ev("2026-11-05", "fill", spirit="malt", litres=180, abv=60, at_20=True), "id": "e0000070"}


def rack_out(into: str, ident: str = "e0000080", day: str = "2026-11-20") -> dict[str, Any]:
    return {**ev(day, "rack-out", to=[{"cask": into, "litres": 180, "abv": 60}], at_20=True, why="leak"), "id": ident}


def rack_in(of: str, ident: str = "e0000080", day: str = "2026-11-20") -> dict[str, Any]:
    told = {"from": [{"cask": of, "litres": 180, "abv": 60}], "at_20": True, "spirit": "malt", "oak_since": "2026-11-05"}
    return {**ev(day, "rack-in", **told), "id": ident}


def converted(into: str) -> dict[str, Any]:
    return {**ev("2026-11-20", "convert", children=[into]), "id": "e0000080"}


def made(of: str) -> dict[str, Any]:
    return {**ev("2026-11-20", "made-from", parents=[{"cask": of}]), "id": "e0000080"}


def swapped(other: str, ident: str = "e0000080") -> dict[str, Any]:
    return {**ev("2026-11-20", "swap-heads", **{"with": other}, heads=["A"], why="mixed up"), "id": ident}


@pytest.fixture
def root(tmp_path: Path) -> Path:
    book = tmp_path / "book"
    book.mkdir()
    (book / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}]\ndue: {claim: {off: true}}\n", encoding="utf-8")
    return book


def told(root: Path, monkeypatch: pytest.MonkeyPatch, day: tuple[str, ...] = DAY) -> dict[str, Any]:
    """Cask → its state by a warm index, which is held to be what the files themselves say."""
    answers = []
    for index in ("on", "off"):
        monkeypatch.setenv("CASKBOOK_INDEX", index)
        ran = [
            caskbook(*words, *day, "--format", "json", "--records", str(root))
            for words in (("list", "--columns", "cask,state,contents,fitness,marks"), ("due", "--all"))
        ]
        answers.append([json.loads(one.stdout) for one in ran])
    assert answers[0] == answers[1]
    return {row["cask"]: row["state"] for row in answers[0][0]}


HALVES = [
    ((CAME, SOUND, FILL), (rack_out(TWO),), (CAME, SOUND), (rack_in(ONE),), "rack-in", "rack-without-its-pair", "racked empty"),
    ((CAME, SOUND), (rack_in(TWO),), (CAME, SOUND, FILL), (rack_out(ONE),), "rack-out", "rack-without-its-pair", "filled"),
    ((CAME, SOUND), (converted(TWO),), (CAME, SOUND), (), "made-from", "conversion-without-its-pair", "gone"),
    ((), (made(TWO),), (CAME, SOUND), (converted(ONE),), "convert", "parent-still-in-stock", "open"),
    ((CAME, OPEN), (swapped(TWO),), (CAME, OPEN), (swapped(ONE),), "swap-heads", "swap-without-its-pair", "open"),
]


@pytest.mark.thorough
@pytest.mark.parametrize(("own", "tells", "others", "answers", "job", "code", "state"), HALVES, ids=[row[4] for row in HALVES])
def test_what_one_file_alone_tells_leaves_the_other_cask_untold(
    root: Path, monkeypatch: pytest.MonkeyPatch, own: Any, tells: Any, others: Any, answers: Any, job: str, code: str, state: str
) -> None:
    put(root, TWO, *others)
    put(root, THREE, CAME, SOUND)
    if own:
        put(root, ONE, *own)
    whole = told(root, monkeypatch)
    assert None not in whole.values()
    put(root, ONE, *own, *tells)
    half = told(root, monkeypatch)
    assert half[TWO] is None and half[THREE] == whole[THREE] and half.get(ONE) is not None
    card = " ".join(caskbook("show", TWO, *DAY, "--records", str(root)).stdout.split())
    assert f"cannot be read: {job} of 2026-11-20 that {ONE} alone tells ({code})" in card and "STATE NOT KNOWN" in card
    assert (ONE, code) in found(root)
    days = [told(root, monkeypatch, ("--as-of", day))[TWO] for day in ("2026-11-19", "2026-11-20")]
    assert days == [whole[TWO], None], "before that day nothing is lacking"
    if answers:
        put(root, TWO, *others, *answers)
        assert None not in told(root, monkeypatch).values()
        put(root, TWO, *others)
        assert told(root, monkeypatch)[TWO] is None
    (root / "casks" / ONE[:-3] / f"{ONE}.yaml").unlink()
    assert told(root, monkeypatch) == {TWO: whole[TWO], THREE: whole[THREE]}


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("own", "tells", "others", "answers", "job", "code", "state"), [row for row in HALVES if row[3]], ids=[row[4] for row in HALVES if row[3]]
)
def test_a_side_put_out_of_force_in_one_file_alone_leaves_both_casks_untold(
    root: Path, monkeypatch: pytest.MonkeyPatch, own: Any, tells: Any, others: Any, answers: Any, job: str, code: str, state: str
) -> None:
    put(root, ONE, *own, *tells)
    put(root, TWO, *others, *answers)
    whole = told(root, monkeypatch)
    assert None not in whole.values()
    void = {**ev("2026-11-21", "void", of="e0000080", why="wrong cask"), "id": "e0000090"}
    put(root, TWO, *others, *answers, void)
    assert told(root, monkeypatch) == {ONE: None, TWO: None}
    words = f"{job} of 2026-11-20 that {TWO} put out of force and {ONE} still tells ({code})"
    assert all(words in " ".join(caskbook("show", cask, *DAY, "--records", str(root)).stdout.split()) for cask in (ONE, TWO))
    put(root, TWO, *others, *answers, void, {**ev("2026-11-22", "void", of="e0000090", why="right cask after all"), "id": "e0000095"})
    assert told(root, monkeypatch) == whole
    put(root, TWO, *others, *answers, void)
    put(root, ONE, *own, *tells, void)
    assert None not in told(root, monkeypatch).values()


@pytest.mark.thorough
def test_a_side_with_an_id_of_its_own_is_put_out_all_the_same_and_one_replaced_that_day_is_not(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(root, ONE, CAME, SOUND, FILL, rack_out(TWO))
    void = {**ev("2026-11-21", "void", of="e0000081", why="wrong cask"), "id": "e0000090"}
    put(root, TWO, CAME, SOUND, rack_in(ONE, "e0000081"), void)
    assert told(root, monkeypatch) == {ONE: None, TWO: None}
    put(root, TWO, CAME, SOUND, rack_in(ONE), {**rack_in(ONE, "e0000080x1"), "replaces": "e0000080", "why": "misread"})
    assert None not in told(root, monkeypatch).values()


@pytest.mark.thorough
def test_a_parent_stays_gone_beside_a_child_that_was_voided(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(root, ONE, CAME, SOUND, converted(TWO))
    put(root, TWO, made(ONE), {**ev("2026-11-21", "void", of="e0000080", why="no such cask"), "id": "e0000090"})
    assert told(root, monkeypatch)[ONE] == "gone"


def test_one_racking_told_under_both_numbers_of_a_cask_is_one_too_many(root: Path) -> None:
    same = {**ev("2026-11-19", "same-as", of=THREE, why="two stencils"), "id": "e0000075"}
    put(root, ONE, CAME, SOUND, FILL, rack_out(TWO))
    put(root, TWO, CAME, SOUND, same, rack_in(ONE))
    put(root, THREE, CAME)
    assert not {code for _, code in found(root)} & {"rack-without-its-pair"}
    put(root, THREE, CAME, rack_in(ONE))
    assert [one for one in found(root) if one[1] == "rack-without-its-pair"] == [(THREE, "rack-without-its-pair")]
    out = rack_out(TWO)
    out["to"] = [{"cask": TWO, "litres": 180, "abv": 60}, {"cask": THREE, "litres": 180, "abv": 60}]
    put(root, ONE, CAME, SOUND, FILL, out)
    assert not {code for _, code in found(root)} & {"rack-without-its-pair"}, "it was racked into both"


@pytest.mark.thorough
def test_a_silent_cask_is_ready_on_no_screen(root: Path) -> None:
    put(root, ONE, CAME, SOUND, FILL, rack_out(TWO))
    put(root, TWO, CAME, SOUND)
    ask = [(*words, *DAY, "--records", str(root)) for words in (("ready",), ("report", "stock"), ("plan", "--coopers", "1", "--hours-a-week", "8"), ("due",))]
    for words in ask:
        assert f"{TWO} is told in part" in caskbook(*words).stderr, words
    groups = json.loads(caskbook(*ask[0], "--format", "json").stdout)["groups"]
    assert TWO not in {one["cask"] for row in groups for one in row["of"] if row["group"] != "nobody can tell"}
    row = json.loads(
        caskbook("query", "SELECT state, contents, fitness FROM cask WHERE cask = 'TH-000002'", *DAY, "--format", "json", "--records", str(root)).stdout
    )
    assert row == [{"state": None, "contents": None, "fitness": None}]


@pytest.mark.thorough
def test_a_day_to_come_is_a_slip_and_lacks_on_every_day(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(root, ONE, CAME, SOUND, FILL, rack_out(TWO, day="2999-01-01"))
    put(root, TWO, CAME, SOUND)
    assert told(root, monkeypatch) == {ONE: None, TWO: None}


@pytest.mark.thorough
def test_a_parent_that_is_gone_by_its_own_file_is_gone(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(root, ONE, made(TWO))
    put(root, TWO, CAME, SOUND, {**converted(THREE), "id": "e0000081"})
    put(root, THREE, {**made(TWO), "id": "e0000081"})
    assert told(root, monkeypatch) == {ONE: "unexamined", TWO: "gone", THREE: "unexamined"}


@pytest.mark.thorough
def test_an_entry_does_not_say_what_was_due_before_another_file_told_of_a_racking(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The quick answer of a warm index was worked out before that, and is of just this content of the cask's own file."""
    late = {**ev("2026-10-04", "examine", verdict="sound"), "id": "e0000050"}
    monkeypatch.setattr(common, "clock", lambda: NOON)
    put(root, ONE, {**CAME, "date": "2026-10-01"}, late)
    put(root, TWO, CAME, SOUND)
    put(root, THREE, CAME, SOUND)

    def said(cask: str, day: str = "2026-11-29") -> str:
        done = caskbook("enter", "nose", cask, "--verdict", "clean", "--by", "ab", "--date", day, "--dry-run", "--records", str(root))
        return done.stdout + done.stderr

    caskbook("due", *DAY, "--records", str(root))
    assert "due: examine since 2026-11-04" in said(ONE) and "due" not in said(THREE)
    put(root, TWO, CAME, SOUND, rack_in(ONE), rack_out(THREE, "e0000081"))
    for index, warm in (("on", False), ("on", True), ("off", False)):
        monkeypatch.setenv("CASKBOOK_INDEX", index)
        if warm:
            caskbook("due", *DAY, "--records", str(root))
        assert f"due, as far as can be read: examine since 2026-11-04; caskbook check {ONE}" in said(ONE)
        assert f"what is due, nobody can tell: caskbook check {THREE}" in said(THREE)
    assert "due: examine since 2026-11-04" in said(ONE, "2026-11-19") and "due" not in said(THREE, "2026-11-19")


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["on", "off"])
def test_the_age_of_what_is_racked_out_of_a_silent_cask_is_unknown_to_entry_and_check(root: Path, monkeypatch: pytest.MonkeyPatch, index: str) -> None:
    """The file of a third cask alone changes: what the index has found of the racking goes by it."""
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    monkeypatch.setattr(common, "clock", lambda: NOON)
    put(root, ONE, CAME, SOUND, FILL)
    put(root, TWO, CAME, SOUND)
    other = {**rack_in(ONE, "e0000075", "2026-11-10"), "from": [{"cask": ONE, "litres": 5, "abv": 60}]}
    put(root, THREE, CAME, SOUND, other)
    figures = ("--litres", "180", "--abv", "60", "--at-20", "--left", "0", "--why", "leak", "--by", "ab", "--date", "2026-11-20", "--yes")
    done = caskbook("enter", "rack", ONE, "--to", TWO, *figures, "--records", str(root))
    assert done.returncode == 0, done.stderr
    assert "oak_since: unknown" in (root / "casks" / TWO[:-3] / f"{TWO}.yaml").read_text(encoding="utf-8").replace('"', "")
    differs, half = (TWO, "rack-age-differs"), (THREE, "rack-without-its-pair")
    for events, expected in (((other,), {half}), ((), {differs}), (({**other, "date": "2026-11-25"},), {differs, half}), ((other,), {half})):
        put(root, THREE, CAME, SOUND, *events)
        for _ in range(2):
            findings = json.loads(caskbook("check", "--format", "json", "--records", str(root)).stdout)["findings"]
            assert {(one["cask"], one["code"]) for one in findings} & {differs, half} == expected


@pytest.mark.thorough
def test_what_two_others_alone_tell_comes_in_one_order_whichever_was_read_last(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(root, TWO, CAME, SOUND)
    for number in (ONE, THREE):
        put(root, number, made(TWO))
    told(root, monkeypatch)
    monkeypatch.setenv("CASKBOOK_INDEX", "on")
    for number in (ONE, THREE, ONE):
        path = root / "casks" / number[:-3] / f"{number}.yaml"
        path.write_text(path.read_text(encoding="utf-8") + "# seen\n", encoding="utf-8")
        told(root, monkeypatch)
