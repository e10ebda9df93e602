"""What gloves type: the job before the command, another order, a day with dots, initials in capitals, a short fill, a pound."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES
from typer.main import get_command

from caskbook.cli.typer_commands import command_line
from caskbook.core.days import DayError, parse_input_day
from caskbook.gauging.units import parse_quantity


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    made = Shop(tmp_path)
    made.put(*(STATES["ready"] or []))
    return made


@pytest.mark.parametrize(("words", "said"), [
    (("test", CASK, "pass"), f"did you mean caskbook enter test {CASK} pass?"), (("sniff", CASK), f"did you mean caskbook enter nose {CASK}?"),
    ((CASK,), f"did you mean caskbook show {CASK}?"), (("th-004217",), "did you mean caskbook show TH-004217?"),
])  # fmt: skip
def test_a_job_or_a_cask_typed_as_a_command_says_how(words: tuple[str, ...], said: str):
    ran = caskbook(*words)
    assert ran.returncode == 2 and said in ran.stderr and len(ran.stderr.splitlines()) == 1


def test_as_a_process_and_another_wrong_command_as_before():
    ran = subprocess.run([sys.executable, "-m", "caskbook", "char", CASK], capture_output=True, text=True, check=False)
    assert ran.returncode == 2 and ran.stderr == f"caskbook: char is a job, no command: did you mean caskbook enter char {CASK}?\n"
    assert "Did you mean 'show'?" in caskbook("shwo").stderr


@pytest.mark.parametrize(
    ("words", "said"), [((CASK, "test"), f"the job goes first: caskbook enter test {CASK}"), (("tset", CASK), "did you mean test?"), (("4217",), "no job")]
)
def test_the_job_goes_first(shop: Shop, words: tuple[str, ...], said: str):
    ran = shop.enter(*words)
    assert ran.code == 2 and said in ran.err


@pytest.mark.parametrize(("typed", "meant"), [("27.11.", "2026-11-27"), ("27.11.2026", "2026-11-27"), ("3.12.", "2025-12-03"), ("1.2.24", "2024-02-01")])
def test_a_day_with_dots_is_asked_back_as_it_is_written(typed: str, meant: str):
    with pytest.raises(DayError, match=rf"did you mean {meant}\?"):
        parse_input_day(typed, date(2026, 11, 28))


@pytest.mark.parametrize("typed", ["31.2.", "27.13.", "1.1.1.1", "27/11"])
def test_no_day_with_dots_is_made_up(typed: str):
    with pytest.raises(DayError) as told:
        parse_input_day(typed, date(2026, 11, 28))
    assert "did you mean" not in str(told.value) and "expected 2024-02-29" in str(told.value)


def test_initials_in_another_case_are_the_crew_s_own(shop: Shop):
    ran = shop.enter("note", CASK, "--note", "x", "--by", "AB")
    assert ran.code == 0 and shop.last()["by"] == "ab" and "AB read as ab" in ran.err
    assert shop.enter("note", CASK, "--note", "y", "--by", "ZZ").code == 1


@pytest.mark.parametrize(
    ("typed", "kept", "echo"),
    [("1lb", 0.454, "1 lb = 0.454 kg"), ("5lb", 2.268, "5 lb = 2.268 kg"), ("100lb", 45.4, "100 lb = 45.4 kg"), ("400g", 0.4, "400 g = 0.4 kg")],
)
def test_a_pound_keeps_its_digits(typed: str, kept: float, echo: str):
    found = parse_quantity(typed, "kg")
    assert (found.value, found.echo) == (kept, echo)


@pytest.mark.parametrize(("days", "told"), [(0, "0 days"), (1, "1 day"), (12, "12 days"), (100, "3 months"), (800, "2.2 y")])
def test_a_short_fill_is_told_in_days_or_months(tmp_path: Path, days: int, told: str):
    from caskbook.render.time_line import time_line

    shop = Shop(tmp_path)
    fill = {"job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5}
    shop.put({"date": days_ago(900), "job": "receive", "verdict": "accept"}, {"date": days_ago(days), **fill})
    line = time_line(shop.ledger.life_of(shop.cask(), shop.today), 160)
    assert told in line and "0.0 y" not in line


def test_more_than_any_cask_holds_is_told():
    ran = caskbook("gauge", "volume", "--litres", "200000", "--abv", "60")
    assert ran.returncode == 0 and "200000 L is more than a cask holds" in ran.stderr
    assert "more than" not in caskbook("gauge", "volume", "--litres", "200", "--abv", "60").stderr


def test_the_text_of_a_note_may_stand_last(shop: Shop):
    shop.put(*(STATES["ready"] or []), cask="TH-004218")
    ran = shop.enter("note", CASK, "th-004218", "hoop A-1 loose, 12 mm", "--by", "ab", "--yes")
    assert ran.code == 0 and shop.last()["note"] == shop.last("TH-004218")["note"] == "hoop A-1 loose, 12 mm", ran.err
    for words, said in ((("rolled",), "did you mean --note rolled?"), (("TH004218",), "no cask number"), (("TH-004218 TH-004219",), "no cask number"),
                        (("seen twice", "--note", "y"), "not expected here")):  # fmt: skip
        ran = shop.enter("note", CASK, *words, "--by", "ab", "--yes")
        assert ran.code == 2 and said in ran.err, ran.err
    assert "not expected here" in shop.enter("soak", CASK, "cold", "seen twice", "--hours", "24", "--by", "ab", "--yes").err


@pytest.mark.parametrize("words", [
    "enter test {cask} pass --psi 10 --psi 11", "enter test {cask} pass --psi=10 --pressure 11", "enter note {cask} --note 10 --note 11",
    "enter note {cask} --note x --date 10 --date 11", "enter note {cask} --note x -d 10 -d 11", "enter note {cask} --note x --by 10 --by 11",
    "enter rack {cask} --to TH-004271 --litres 10 --litres 11", "enter receive TH-009001 accept --type barrel --capacity 10 --holds 11", "enter sheet day.csv --date 10 --date 11",
    "sheet --for test --rows 10 --rows 11", "void {cask} e0000001 --why 10 --why 11", "move-event {cask} e0000001 --to 10 --to 11 --why x", "undo --by 10 --by 11",
    "redate {cask} e0000001 --date 10 --date 11", "redate --sheet 10 --sheet=11 --date wed", "correct {cask} --capacity 10 --capacity 11 --why x", "move-event --map 10 --map 11 --sheet x",
    "show {cask} --as-of 10 --as-of 11", "due --top 10 --top 11", "due --sort 10 --sort 11 --soon", "list --where 10 --where 11", "query 'select 1' --limit 10 --limit 11",
    "check --since 10 --since=11", "gauge volume --abv 63 --litres 10 --litres 11", "report loss --by 10 --by 11", "demo nowhere --seed 10 --seed 11",
])  # fmt: skip
def test_an_option_with_one_value_is_not_given_two(shop: Shop, words: str):
    before = shop.path().read_bytes()
    ran = caskbook(*shlex.split(words.format(cask=CASK)), cwd=shop.root)
    assert ran.returncode == 2 and not ran.stdout and shop.path().read_bytes() == before
    assert re.fullmatch(r"caskbook: -\S+ is given twice, as 10 and as 11: expected one of them\n", ran.stderr), ran.stderr


EMPTY = " needs a value: the one given is empty\n"


def valued(command: Any, *words: str) -> Iterator[tuple[str, ...]]:
    """Every option with a value of every command that typer reads: the words of the command, and the option."""
    for name, inner in (getattr(command, "commands", None) or {}).items():
        yield from valued(inner, *words, name)
    for one in command.params if words else ():
        if one.param_type_name == "option" and not one.is_flag:
            yield (*words, one.opts[0])


def test_an_empty_value_is_no_option_left_out():
    """A variable that a script forgot to set: `check --since "$BASE"` would look at no history and find nothing."""
    lines = list(valued(get_command(command_line(""))))
    assert ("check", "--since") in lines and ("report", "loss", "--store") in lines and len(lines) > 50
    for words in lines:
        for given in ((f"{words[-1]}=",), (words[-1], " ")):
            ran = caskbook(*words[:-1], *given)
            assert (ran.returncode, ran.stdout, ran.stderr) == (2, "", f"caskbook: {words[-1]}{EMPTY}"), (words, ran.stderr)
    assert "of an empty range" in caskbook("review", "").stderr


@pytest.mark.parametrize("words", [
    "enter note {cask} --note x --replaces", "enter note {cask} --note x --date", "enter note {cask} --note x -d", "enter note {cask} --note x --records", "enter note {cask} --note",
    "enter test {cask} fail --psi 11 --leaks joint-3 --leaks", "enter rack {cask} --litres 10 --to", "enter sheet day.csv --date", "sheet --for", "void {cask} e0000001 --why",
    "void {cask} e0000001 --why x --by", "move-event {cask} e0000001 --why x --to", "undo --records", "enter scan note --note",
    "redate --sheet x --date", "redate {cask} e0000001 --date mon --before", "correct {cask} --type", "move-event --sheet x --why x --map",
])  # fmt: skip
def test_nor_is_it_where_something_is_written(shop: Shop, words: str):
    before = shop.path().read_bytes()
    *rest, option = shlex.split(words.format(cask=CASK))
    ran = caskbook(*rest, option, "", "--yes", cwd=shop.root)
    assert ran.returncode == 2 and ran.stderr.endswith(EMPTY) and shop.path().read_bytes() == before, ran.stderr


def test_what_may_be_given_again_is(shop: Shop):
    ran = shop.enter("test", CASK, "fail", "--psi", "10", "--psi", "10", "--leaks", "joint-3", "--leaks", "joint-4", "--by", "ab", "--yes", "--yes")
    assert ran.code == 0 and [leak["at"] for leak in shop.last()["leaks"]] == ["joint-3", "joint-4"], ran.err
    ran = shop.enter("examine", CASK, "repair", "--findings", "[{at: joint-3, defect: leak}]", "--findings", "joint-4 leak")
    assert ran.code == 2 and "a whole list in brackets" in ran.err, ran.err
    ran = caskbook("list", "--type", "butt", "--type", "barrel", "--columns", "cask", "--format", "csv", "--where", "1 = 1", "--where", "1 = 1", cwd=shop.root)
    assert ran.returncode == 0 and CASK in ran.stdout, ran.stderr
    assert caskbook("due", "--type", "barrel", "--type", "butt", "--all", cwd=shop.root).returncode == 0
