"""Entering is three steps in a row: planned without a word, asked, then told and written."""

from __future__ import annotations

import ast
import builtins
import shlex
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from laws import crossed

import caskbook.entry
from caskbook.cli.commands import enter
from caskbook.core.finding import CaskbookError
from caskbook.entry.build import Asker
from caskbook.entry.plan import Desk
from caskbook.entry.plan_request import Draft, drafted, plan_answered, plan_request, plan_scanned
from caskbook.entry.request import read_request
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES
from entry.test_every_job import CASES
from entry.test_open_matters import LEAKS

pytestmark = pytest.mark.thorough

ROOM = Path(caskbook.entry.__file__).parent
STREAMS = ("stdin", "stdout", "stderr")


def desk_of(shop: Shop) -> Desk:
    return Desk(shop.ledger, shop.today, datetime.now(UTC), lambda count: 5)


def drafted_for(shop: Shop, *words: str, may_ask: bool = True) -> Draft:
    return plan_request(desk_of(shop), read_request(list(words)), Asker("ab"), may_ask=may_ask)


def test_planning_knows_neither_screen_nor_keyboard() -> None:
    """No module of `entry` imports the command line, or names a stream of the program."""
    for file in ROOM.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom | ast.Import):
                names = [node.module or ""] if isinstance(node, ast.ImportFrom) else [alias.name for alias in node.names]
                assert not [name for name in names if name.startswith(("caskbook.cli", "caskbook.render", "getpass", "readline"))], file.name
            assert not (isinstance(node, ast.Call) and ast.unparse(node.func) in ("print", "input", "breakpoint")), file.name
            assert not (isinstance(node, ast.Attribute) and ast.unparse(node) in [f"sys.{name}" for name in (*STREAMS, "exit")]), file.name


class Silent:
    """A stream that nobody may touch."""

    def __getattr__(self, name: str) -> Any:
        raise AssertionError(f"planning used a stream of the program: {name}")


@pytest.fixture
def silent(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object, **__: object) -> Any:
        raise AssertionError("planning printed or read")

    for name in STREAMS:
        monkeypatch.setattr(sys, name, Silent())
    monkeypatch.setattr(builtins, "print", never)
    monkeypatch.setattr(builtins, "input", never)


@crossed("state,may_ask", ["ready", "filled", "gone"], [True, False])
def test_planning_neither_prints_nor_reads_nor_writes(shop: Shop, silent: None, state: str, may_ask: bool) -> None:
    path = shop.put(*(STATES[state] or []))
    before = path.read_bytes()
    seen: set[str] = set()
    for case in CASES:
        for words in ([case.job, CASK, *shlex.split(case.words)], [case.job, CASK]):
            for plan in (plan_request, plan_answered, plan_scanned):
                try:
                    draft = plan(desk_of(shop), read_request(words), Asker("ab"), may_ask=may_ask)
                except CaskbookError:
                    seen.add("error")
                else:
                    seen.add("open" if draft.questions else "refused" if draft.plan is not None and draft.plan.refusals else "planned")
    assert seen == {"error", "open", "refused", "planned"}
    assert path.read_bytes() == before and sorted(shop.root.rglob("*.yaml")) == sorted([path, shop.root / "house.yaml"])


def test_open_questions_are_plain_data(shop: Shop) -> None:
    """The same words give the same questions: what is lacking, in the order in which it is asked."""
    shop.put(*(STATES["filled"] or []))
    draft = drafted_for(shop, "empty", CASK, "--litres", "100")
    assert draft.plan is None and draft == drafted_for(shop, "empty", CASK, "--litres", "100")
    assert [(one.kind, one.place, one.may_skip) for one in draft.questions] == [("field", ("empty", "abv"), False), ("field", ("empty", "temp_c"), True)]
    assert draft.heading.startswith(f"{CASK}  barrel, full of malt")
    alone = drafted_for(shop, "empty", CASK, "--litres", "100", may_ask=False)
    assert [one.place for one in alone.questions] == [("empty", "abv")]


def test_what_an_entry_takes_over_is_not_asked_for_when_it_is_put_right(shop: Shop) -> None:
    shop.put(*(STATES["filled"] or []), {"id": "e0000009", "date": days_ago(2), "job": "regauge", "litres": 178, "abv": 60, "method": "meter", "temp_c": 14.5})
    for more, places in (((), [("regauge", "why")]), (("--why", "misread"), [])):
        draft = drafted_for(shop, "regauge", CASK, "--replaces", "e0000009", "--litres", "178.7", *more)
        assert [one.place for one in draft.questions] == places, more
    written = draft.plan.written if draft.plan is not None else []
    assert [event["temp_c"] for _, event in written] == [14.5]


def test_open_matters_are_questions_before_the_fields(shop: Shop) -> None:
    shop.put(*LEAKS)
    draft = drafted_for(shop, "drive", CASK)
    assert [(one.kind, one.text, one.yes) for one in draft.questions] == [
        ("matter", f"joint-4 weep, seen {days_ago(8)}: answered by this?", ("e0000002/joint-4",)),
        ("matter", f"croze-A weep, seen {days_ago(8)}: answered by this?", ("e0000002/croze-A",)),
    ]
    request = read_request(["drive", CASK])
    request.given[draft.questions[0].place] = list(draft.questions[0].yes)
    answered = plan_answered(desk_of(shop), request, Asker("ab"), may_ask=True)
    assert answered.plan is not None and answered.plan.written[-1][1]["answers"] == ["e0000002/joint-4"]
    assert drafted_for(shop, "drive", CASK, may_ask=False).plan is not None


def test_another_unit_and_what_a_racking_leaves_are_questions(shop: Shop) -> None:
    shop.put(*(STATES["filled"] or []))
    shop.put(*(STATES["ready"] or []), cask="TH-009999")
    (unit,) = drafted_for(shop, "measure", CASK, "--dims", "bung 26, head 21, length 33").questions
    assert (unit.kind, unit.yes) == ("unit", ("bung 26in, head 21in, length 33in",)) and unit.refusal
    rack = ("rack", CASK, "--to", "TH-009999", "--litres", "150", "--abv", "60", "--temp", "12", "--why", "to marry")
    (left,) = drafted_for(shop, *rack).questions
    assert left.kind == "left" and CASK in left.text and not drafted_for(shop, *rack, may_ask=False).questions


def test_what_a_cask_forbids_and_what_is_doubted_stand_in_the_draft(shop: Shop) -> None:
    shop.put(*(STATES["gone"] or []))
    barred = drafted_for(shop, "test", CASK)
    assert barred.plan is not None and [one.fault.code for one in barred.plan.refusals] == ["job-on-gone-cask"] and not barred.questions
    assert drafted_for(shop, "test", "TH-008888").refused[-1] == "nothing written"
    shop.put(*(STATES["filled"] or []), cask="TH-004218")
    doubted = drafted_for(shop, "regauge", "TH-004218", "meter", "--litres", "40", "--abv", "60", "--temp", "10")
    assert doubted.plan is not None and doubted.remarks.doubts and any(line.startswith("TH-004218  barrel, full of malt") for line in doubted.remarks.lines)
    assert drafted(desk_of(shop), doubted.plan).remarks == doubted.remarks


def test_several_casks_and_nobody_to_ask_are_told_so(shop: Shop) -> None:
    """The cask is judged as it was before the run, so a job that cannot be done twice is not taken for refused."""
    for cask in (CASK, "TH-004218"):
        shop.put(*(STATES["ready"] or []), cask=cask)
    ran = shop.enter("missing", CASK, "TH-004218", "--note", "not there")
    assert ran.code == 2 and "2 casks, and nobody to ask" in ran.err and "refused" not in ran.err


def test_the_command_shows_the_three_steps_in_a_row() -> None:
    (steps,) = [node for node in ast.parse(Path(enter.__file__).read_text(encoding="utf-8")).body if getattr(node, "name", "") == "_in_three_steps"]
    assert isinstance(steps, ast.FunctionDef)
    called = [next(ast.unparse(call.func) for call in ast.walk(line) if isinstance(call, ast.Call)) for line in steps.body[-3:]]
    assert called == ["plan_request", "ask_questions", "tell_and_write"]
