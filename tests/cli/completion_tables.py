"""The tables of completion, made of what the program itself takes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from commands import caskbook
from typer.main import get_command

from caskbook.checks.explain import EXPLANATIONS
from caskbook.cli.own_options import OWN_WORDS
from caskbook.cli.typer_commands import COMMANDS, GROUPS, command_line
from caskbook.due import RULES
from caskbook.entry.fields import HEAD_FILE, JobField, head_fields
from caskbook.entry.request import MANY_FILES, RUN_OPTIONS, all_jobs, fields_typed, takes_head
from caskbook.words.cask import CASK_TYPES
from caskbook.words.job_table import JOB_TABLE
from caskbook.words.lookup import DEFECTS, KINDS
from caskbook.words.shipped_questions import SHIPPED_QUESTIONS

BY_NAME = {
    "by": "by", "records": "file", "save": "file", "map": "file", "date": "day", "before": "text", "closed-on": "day", "as-of": "day", "type": "types",
    "berth": "berth", "store": "store", "for": "job", "to": "cask", "with": "cask", "like": "cask", "into": "text", "as": "text", "sheet": "text",
    "from": "day", "format": "word=text,json,csv", "paper": "word=A4,A5",
}  # fmt: skip
BY_KIND = {"cask": "cask", "casks": "cask", "source": "cask", "place": "place", "places": "place", "leaks": "place", "findings": "place", "day": "day",
           "when": "day", "oak": "day", "nose_faults": "faults", "head": "word=A,B", "heads": "word=A,B,both", "wood": "woods", "event": "event", "answers": "event"}  # fmt: skip
SWITCHES = ("yes", "dry-run", "anyway", "alone", "commit", "no-commit", "due", "soon", "work", "skip-missing", "help", "type")
NOT_ITS_OWN = {(("bench",), "--litres"), (("bench",), "--psi"), (("bench",), "--why")}
SHOWN = {"json", "jsonl", "parquet", "sqlite", "csv", "text", "sarif", "github", "concise", "markdown", "ics"}


def tables() -> str:
    """The whole file, a line each: kind, name and the rest, parted by tabs."""
    rows = [*_commands(), *_jobs(), *_lists()]
    return "".join("\t".join(row).rstrip("\t") + "\n" for row in rows)


def _first(text: str | None) -> str:
    return " ".join((text or "").strip().split("\n")[0].split()).rstrip(".")


def _commands() -> Iterator[tuple[str, str, str]]:
    app: Any = get_command(command_line(""))
    for name, command in app.commands.items():
        yield "command", name, _first(command.help)
    for name, command in app.commands.items():
        if name in OWN_WORDS:
            yield "options", name, " ".join(_own_options(name))
        elif name in GROUPS:
            yield from (("options", f"{name} {inner}", " ".join(_options(one))) for inner, one in command.commands.items())
        else:
            assert name in COMMANDS
            yield "options", name, " ".join(_options(command))
    yield "options", "enter sheet", " ".join(_own_options("enter", "sheet"))


def _options(command: Any) -> Iterator[str]:
    """The options of a command that typer reads, each with what follows it."""
    for one in command.params:
        option = next((text for text in one.opts if text.startswith("--")), None)
        if option and one.name != "help":
            yield option if one.is_flag else f"{option}={_takes(option, one.help or '')}"
            yield from (text for text in one.secondary_opts if text.startswith("--"))


def _takes(option: str, says: str) -> str:
    words = set(re.findall(r"[a-z]+", says)) & SHOWN
    if option == "--by" and "(without it)" in says:
        return f"word={','.join(re.findall('[a-z-]+', says.replace('(without it)', '').replace(' or ', ', ')))}"
    if option == "--for" and "held" in says:
        return "text"
    if option == "--to" and says.startswith("Only"):
        return "day"
    return f"word={','.join(sorted(words))}" if option == "--format" and words else BY_NAME.get(option[2:], "text")


PART_OF_HELP = {("enter", "sheet"): (0, 1), ("sheet",): (1, 2)}
"""Both have one help: which half of it is which, parted at the second's first line."""


def _own_options(*words: str) -> Iterator[str]:
    """The options that a command's own help names; the jobs tell those of `enter`."""
    text = caskbook(*words, "--help").stdout if words != ("enter",) else ""
    first, last = PART_OF_HELP.get(words, (0, 9))
    text = "".join(text.split("caskbook sheet")[first:last])
    for option in dict.fromkeys(re.findall(r"(?<![\w-])--[a-z][a-z-]*[a-z]", text)):
        if option != "--help" and (words, option) not in NOT_ITS_OWN:
            switch = option[2:] in SWITCHES and (words, option) != (("sheet",), "--type")
            yield option if switch else f"{option}={_takes(option, 'text csv')}"


def _jobs() -> Iterator[tuple[str, str, str]]:
    from caskbook.cli.entering.help import _says  # what `enter --help` says

    for job in all_jobs():
        yield "job", job, _first(_says(job))
    yield "options", "enter run", " ".join(_run_options())
    for job in all_jobs():
        fields = [*fields_typed(job), *(head_fields() if takes_head(job) else ())]
        more = [f"--{name.replace('_', '-')}={BY_NAME.get(name, 'text')}" for name in MANY_FILES.get(job, ())]
        yield "options", f"enter {job}", " ".join(dict.fromkeys([*map(_field_option, fields), *more]))
        loose = [word for one in fields if one.kind == "choice" and one.job != HEAD_FILE and one.must for word in one.words]
        loose += ["A", "B", "both"] if any(one.kind == "heads" for one in fields) else []
        places = ["PLACE"] if any(one.kind in ("place", "places", "leaks") for one in fields) else []
        if job in JOB_TABLE and (loose or places):
            yield "list", f"loose {job}", " ".join(dict.fromkeys([*loose, *places]))


def _run_options() -> Iterator[str]:
    for name, takes in RUN_OPTIONS.items():
        option = f"--{name.replace('_', '-')}"
        if name != "help":
            yield f"{option}={BY_NAME.get(option[2:], 'text')}" if takes else option


def _field_option(one: JobField) -> str:
    if one.kind == "flag":
        return one.option
    if one.words == tuple(CASK_TYPES):
        return f"{one.option}=types"
    if one.words:
        return f"{one.option}=word={','.join(one.words)}"
    if one.key in ("by", "berth"):
        return f"{one.option}={one.key}"
    return f"{one.option}={BY_KIND.get(one.kind, 'text')}"


def _lists() -> Iterator[tuple[str, str, str]]:
    yield "list", "types", " ".join(CASK_TYPES)
    yield "list", "rules", " ".join(rule.name for rule in RULES)
    yield "list", "defects", " ".join(DEFECTS)
    yield "list", "faults", " ".join(KINDS["nose_fault"].words)
    yield "list", "woods", " ".join(KINDS["wood"].words)
    yield "list", "questions", " ".join(SHIPPED_QUESTIONS)
    yield "list", "explained", " ".join(sorted(EXPLANATIONS))
