"""Command lines of the commands asked most often, read without typer: it and what it needs take longer to load than a known
answer takes to find. Only what is plain is read here; help, slips of typing and all else is left to typer, which explains.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

TEXT, TEXTS, SWITCH, COUNT = "text", "texts", "switch", "count"
Options = dict[str, tuple[str, str]]
"""Option → (the name typer's function has for it, what follows it). A test compares them with those that typer reads."""

_COMMON: Options = {"--records": ("records", TEXTS), "--as-of": ("as_of", TEXT), "--at": ("at", TEXT), "--format": ("form", TEXT), "--save": ("save", TEXT)}
SHOW: Options = {**_COMMON, "--all": ("every", SWITCH), "--map": ("picture", SWITCH), "--line": ("line", SWITCH)}
DUE: Options = {
    **_COMMON, "--type": ("types", TEXTS), "--berth": ("berth", TEXTS), "--store": ("store", TEXTS), "--spirit": ("spirit", TEXTS),
    "--parcel": ("parcel", TEXTS), "--supplier": ("supplier", TEXTS), "--by-cask": ("by_cask", SWITCH), "--sort": ("sort", TEXT), "--top": ("top", COUNT),
    "--soon": ("soon", SWITCH), "--unknown": ("unknown", SWITCH), "--all": ("every", SWITCH), "--fail-if-any": ("fail_if_any", SWITCH),
    "--set": ("settings", TEXTS), "--explain": ("explain", SWITCH),
}  # fmt: skip
LIST: Options = {
    **_COMMON, "--state": ("state", TEXTS), "--type": ("types", TEXTS), "--berth": ("berth", TEXTS), "--store": ("store", TEXTS),
    "--spirit": ("spirit", TEXTS), "--vat": ("vat", TEXTS), "--parcel": ("parcel", TEXTS), "--supplier": ("supplier", TEXTS), "--where": ("where", TEXT),
    "--mark": ("mark", TEXTS), "--columns": ("columns", TEXT), "--sort": ("sort", TEXT),
}  # fmt: skip


def read_plain(words: list[str], options: Options) -> tuple[list[str], dict[str, Any]] | None:
    """The loose words, and the value of every option, by name; None where typer is to read the words."""
    loose: list[str] = []
    given: dict[str, Any] = {name: False if kind == SWITCH else None for name, kind in options.values()}
    rest = iter(words)
    for word in rest:
        if not word.startswith("-"):
            loose.append(word)
            continue
        if word not in options:
            return None
        name, kind = options[word]
        value = _value(kind, next(rest, "-") if kind != SWITCH else "")
        if value is None or (kind in (TEXT, COUNT) and given[name] not in (None, value)):
            return None
        given[name] = [*(given[name] or []), value] if kind == TEXTS else value
    return loose, {**given, "form": given["form"] or "text"}


def _value(kind: str, text: str) -> Any:
    """None for what only looks like a value."""
    if kind == SWITCH:
        return True
    if kind == COUNT:
        return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 and int(text) else None
    return None if not text.strip() or text.startswith("-") else text


def _show(loose: list[str], given: dict[str, Any]) -> int | None:
    if len(loose) != 1:
        return None
    from caskbook.cli.commands.show import run

    return run(loose[0], **given)


def _due(loose: list[str], given: dict[str, Any]) -> int | None:
    from caskbook.cli.commands.due import run

    filters = {"type": given["types"], **{name: given[name] for name in ("berth", "store", "spirit", "parcel", "supplier")}}
    asked = {
        "what": loose,
        "filters": filters,
        **{name: given[name] for name in ("top", "sort", "by_cask", "soon", "unknown", "every", "explain")},
        "settings": given["settings"] or [],
    }
    return run(given["records"], given["as_of"], given["at"], given["form"], asked, fail_if_any=given["fail_if_any"])


def _list(loose: list[str], given: dict[str, Any]) -> int | None:
    from caskbook.cli.commands.list import run

    filters = {name: given[name] for name in ("state", "berth", "store", "spirit", "vat", "parcel", "supplier", "mark")}
    filters |= {"type": given["types"], "cask": loose or None}
    return run(given["records"], given["as_of"], given["at"], given["form"], filters, given["where"], given["columns"], given["sort"])


_PLAIN: dict[str, tuple[Options, Callable[[list[str], dict[str, Any]], int | None]]] = {
    "show": (SHOW, _show),
    "due": (DUE, _due),
    "list": (LIST, _list),
}


def run_plain(arguments: list[str]) -> int | None:
    """Run a plain command line; None where it is none of those read here, as one that names several ledgers."""
    if not arguments or arguments[0] not in _PLAIN:
        return None
    options, run = _PLAIN[arguments[0]]
    read = read_plain(arguments[1:], options)
    if read is None or read[1].pop("save"):
        return None
    records = {*(read[1]["records"] or [None])}
    if len(records) > 1:
        return None
    read[1]["records"] = records.pop()
    return run(*read)
