"""Values of options of typer's commands: of two, where one is taken, typer would take the last without a word, and an empty one as none."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from caskbook.core.given_once import refuse_empty, refuse_second


def refuse_unclear_values(command: Any, arguments: Sequence[str]) -> None:
    """CaskbookError where an option has an empty value, or one that takes one value has two that differ. `command`: what typer made of our functions."""
    words = list(arguments)
    options: dict[str, Any] = {}
    seen: dict[str, str] = {}
    while words:
        word = words.pop(0)
        if word == "--":
            return
        inner = getattr(command, "commands", None) or {}
        if word in inner:
            command, options = inner[word], _valued(inner[word])
            continue
        name, equals, text = word.partition("=")
        option = (options or _valued(command)).get(name)
        if option is None:
            continue
        if not (option.is_flag or equals or words):
            return  # Typer says that its value is missing.
        value = word if option.is_flag else text if equals else words.pop(0)
        refuse_empty(option.opts[0], value)
        if option.multiple:
            continue
        refuse_second(option.opts[0], seen.setdefault(option.name, value), value)


def _valued(command: Any) -> dict[str, Any]:
    """Option as typed → what typer knows of it, for those with a value, and for switches that are also turned off by an option."""
    found = [one for one in command.params if getattr(one, "opts", None) and one.param_type_name == "option"]
    return {name: one for one in found if not one.is_flag or one.secondary_opts for name in (*one.opts, *one.secondary_opts)}
