"""Options of typer's commands that take one value: of two, typer would take the last without a word."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from caskbook.core.given_once import refuse_second


def refuse_given_twice(command: Any, arguments: Sequence[str]) -> None:
    """CaskbookError where an option that takes one value has two that differ. `command`: what typer made of our functions."""
    words = list(arguments)
    options: dict[str, Any] = {}
    seen: dict[str, str] = {}
    while words:
        word = words.pop(0)
        if word == "--":
            return
        inner = getattr(command, "commands", None) or {}
        if word in inner:
            command, options = inner[word], _single(inner[word])
            continue
        name, equals, text = word.partition("=")
        option = (options or _single(command)).get(name)
        if option is None:
            continue
        value = word if option.is_flag else text if equals else words.pop(0) if words else ""
        refuse_second(option.opts[0], seen.setdefault(option.name, value), value)


def _single(command: Any) -> dict[str, Any]:
    """Option as typed → what typer knows of it, for those with one value, and for switches that are also turned off by an option."""
    found = [one for one in command.params if getattr(one, "opts", None) and one.param_type_name == "option" and not one.multiple]
    return {name: one for one in found if not one.is_flag or one.secondary_opts for name in (*one.opts, *one.secondary_opts)}
