"""Command lines read without typer: what is read is what typer reads, and what is not plain is left to it."""

from __future__ import annotations

from typing import Any

import pytest
import typer.main
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.cli import app, typer_commands, without_typer
from caskbook.cli.commands import due, list, show

COMMANDS = {"show": (without_typer.SHOW, show), "due": (without_typer.DUE, due), "list": (without_typer.LIST, list)}
VALUES = st.sampled_from(["barrel", "TH-004217", "2024-02-29", "json", "a b", "", "3", "0", "-2", "x=y", "é", "--map", "12345678901"])


def by_typer(words: list[str]) -> Any:
    return typer_commands.command_line(words[0])(words, standalone_mode=False, prog_name="caskbook")


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_the_options_are_those_of_typer(name: str):
    group = typer.main.get_command(typer_commands.command_line(name))
    theirs = {
        param.opts[0]: (param.name, param.multiple, bool(getattr(param, "is_flag", False)))
        for param in group.commands[name].params if param.opts[0].startswith("--") and param.name != "help"  # type: ignore[attr-defined]
    }  # fmt: skip
    options = COMMANDS[name][0]
    ours = {option: (key, kind == without_typer.TEXTS, kind == without_typer.SWITCH) for option, (key, kind) in options.items()}
    assert ours == theirs


def words_of(name: str) -> st.SearchStrategy[Any]:
    options = sorted([*COMMANDS[name][0], "--bogus", "-h", "--", "--records=x"])
    pair = st.tuples(st.sampled_from(options), VALUES).map(lambda both: [*both])
    word = st.one_of(pair, pair, st.sampled_from(options).map(lambda one: [one]), VALUES.map(lambda one: [one]))
    return st.lists(word, max_size=5).map(lambda parts: [name, *(one for part in parts for one in part)])


@settings(max_examples=many(150), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(sorted(COMMANDS)).flatmap(words_of))
def test_plain_words_come_to_what_typer_reads(monkeypatch: pytest.MonkeyPatch, words: Any):
    calls: Any = []
    monkeypatch.setattr(COMMANDS[words[0]][1], "run", lambda *args, **kwargs: calls.append((args, kwargs)) or 7)
    if app.run_plain(words) is None:
        assert not calls
        return
    assert by_typer(words) == 7
    assert named(calls[0]) == named(calls[1])


def named(call: Any) -> Any:
    """`show` is called with names in one place and without in the other."""
    (args, kwargs) = call
    names = ("cask", "records", "as_of", "at", "form") if len(args) in (1, 5) and isinstance(args[0], str) and "picture" in kwargs else ()
    return {**kwargs, **dict(zip(names, args, strict=False))} if names else (args, kwargs)


@pytest.mark.parametrize("words", [["show"], ["show", "--help"], ["show", "A", "B"], ["due", "--top", "0"], ["due", "--type"], []])
def test_what_is_not_plain_is_left_to_typer(words: Any):
    assert app.run_plain(words) is None


def test_what_is_plain_is_read_without_typer(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(list, "run", lambda *args, **kwargs: args)
    filters = {
        "state": ["ready", "held"],
        "type": None,
        "berth": None,
        "store": None,
        "spirit": None,
        "vat": None,
        "parcel": None,
        "supplier": None,
        "mark": None,
        "cask": None,
    }
    words = ["list", "--state", "ready", "--as-of", "2024-01-01", "--state", "held"]
    assert app.run_plain(words) == (None, "2024-01-01", None, "text", filters, None, None, None)
