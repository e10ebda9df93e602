"""How the help calls what an option or an argument takes: by its own word, and never by a type of Python, whatever version of typer prints it."""

from __future__ import annotations

from typing import Any


def name_values(command: Any) -> None:
    """Give each option that takes a value, and has no word for it, its own name in capitals; arguments stand as they are declared.

    `command` is a command or a group of typer, whose commands are named likewise. Newer typers tell the type behind an argument, and put the
    brackets of a usage line around a word that has its own.
    """
    for under in getattr(command, "commands", {}).values():
        name_values(under)
    for param in command.params:
        if param.param_type_name == "argument":
            _as_declared(param)
        elif param.metavar is None and not param.is_flag:
            param.metavar = _capitals(param)


def _as_declared(param: Any) -> None:
    if param.metavar is not None:
        declared = param.metavar
        param._usage_display_name = lambda: declared
        param.display_type_rich = lambda ctx: None


def _capitals(param: Any) -> str:
    longest: str = max(param.opts, key=len)
    return longest.lstrip("-").replace("-", "_").upper()
