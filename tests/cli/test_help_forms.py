"""The help of each command calls what is to be typed by a word of ours, and its usage line as it is declared, whatever typer is installed."""

from __future__ import annotations

import re

import pytest
from commands import caskbook

from caskbook.cli.own_options import OWN_WORDS
from caskbook.cli.typer_commands import COMMANDS

_GROUPED = ("report stock", "report loss", "report outlook", "git install", "import register", "gauge volume")


@pytest.mark.parametrize("words", [*sorted(COMMANDS.keys() - OWN_WORDS.keys()), *_GROUPED])
def test_no_type_of_python_and_no_brackets_twice(words: str) -> None:
    done = caskbook(*words.split(), "--help")
    assert done.returncode == 0, done.stderr
    assert re.findall(r"<\w+(?:\[\w+\])?>|\bTEXT\b|\bINTEGER\b|\[\[|\]\.\.\.\]", done.stdout) == []


def test_an_option_without_a_word_of_its_own_is_called_by_its_name() -> None:
    told = caskbook("list", "--help").stdout
    assert "Usage: caskbook list [OPTIONS] [CASK]...\n" in told
    assert re.search(r"--type TYPE +Only casks of this type", told) and re.search(r"--at REV +The book", told)
