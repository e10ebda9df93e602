"""The pages as bytes: templates filled in, text made safe, and where each page lies in the folder."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from caskbook.core.extra import library
from caskbook.ledger.paths import file_of
from caskbook.render.console import safe

AS_THEY_ARE = ("pages.css", "search.js")
"""Files of every book that hold nothing of it."""
SEARCHED = ("cask", "type", "state", "berth", "spirit", "parcel", "supplier", "marks", "joined", "due")
"""What the search knows of a cask, in this order."""


def page_of(number: str) -> str:
    """Where the page of a cask lies: casks/TH-004/TH-004217.html, in a folder for each thousand as its file does."""
    return file_of(number).removesuffix("yaml") + "html"


def page(template: str, path: str, /, **told: Any) -> bytes:
    """A page by its template; `path`: where it will lie. Everything told is text, and is escaped and freed of what would steer a screen or turn a
    line; only values marked by `drawn` are markup. CaskbookError where jinja2 is not installed."""
    up = "../" * path.count("/")
    text: str = _templates().get_template(template).render(up=up, page_of=page_of, **told)
    return text.encode()


def drawn(svg: str) -> Any:
    """A picture that was made here, as markup."""
    return library("markupsafe", "book", "the offline book").Markup(svg)


def as_it_is(name: str) -> bytes:
    """One of AS_THEY_ARE."""
    return files("caskbook.pages").joinpath("templates", name).read_bytes()


def search_data(casks: Sequence[Mapping[str, Any]]) -> bytes:
    """What the search goes through, as a script that a page can load from a folder: the columns of SEARCHED, and a row of strings for each cask."""
    rows = [[_plain(cask.get(name)) for name in SEARCHED] for cask in casks]
    lines = ",\n".join(json.dumps(row, ensure_ascii=True) for row in rows)
    return f"const COLUMNS = {json.dumps(SEARCHED)};\nconst CASKS = [\n{lines}\n];\n".encode()


def _plain(value: Any) -> str:
    if isinstance(value, (list, tuple)):
        return ", ".join(_plain(one) for one in value)
    return "" if value is None else safe(str(value))


@cache
def _templates() -> Any:
    jinja2 = library("jinja2", "book", "the offline book")
    markup = library("markupsafe", "book", "the offline book").Markup

    def told(value: Any) -> Any:
        return value if isinstance(value, markup) or not isinstance(value, str) else safe(value)

    loader = jinja2.FunctionLoader(lambda name: files("caskbook.pages").joinpath("templates", name).read_text(encoding="utf-8"))
    return jinja2.Environment(
        loader=loader, autoescape=True, finalize=told, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True
    )
