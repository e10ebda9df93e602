"""`--save FILE` of what a command prints: the same text on a page, or the same data, put down so that nothing else is lost by it."""

from __future__ import annotations

import contextlib
import io
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.common import say, write
from caskbook.cli.saving import put_pictures, read_target
from caskbook.core import this_run
from caskbook.core.days import DayError, today_in
from caskbook.core.extra import library
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.paper.imprint import Imprint

_TEXTS = (".txt", ".html", ".svg", ".pdf")
_DATA: Mapping[str, str] = {".csv": "csv", ".json": "json", ".jsonl": "jsonl", ".md": "markdown", ".ics": "ics"}


class _Kept(io.StringIO):
    """What a command prints, kept: no terminal, and it takes every sign."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return False


def saved(save: str, form: str, run: Callable[[str], int], *, draws: bool = False, pdf: Callable[[], bytes] | None = None) -> int:
    """Put down what `run` prints; its exit code. The ending of `save` says as what: a text on a page, or data (csv, json, jsonl, markdown, ics). `draws`: it has a
    format svg; `pdf`: lays out pages of its own.

        CaskbookError where the ending is another, the command knows no such format, `form` was asked for beside it and is another, or the file is there
        already and is no page that caskbook printed: then nothing is written.
    """
    endings = (*_TEXTS, *_DATA)
    target = read_target(save, endings, " ".join(["caskbook", *this_run.words()[:1]]))
    kind = target.suffix.lower()
    wanted = "svg" if draws and kind == ".svg" else _DATA.get(kind, "text")
    if form not in ("text", wanted):
        raise CaskbookError(f"--save {target.name} with --format {form}: the ending says {wanted}; leave --format out")
    if pdf is not None and kind == ".pdf":
        library("reportlab")  # What lacks is told before the book is read.
        put_pictures({target: pdf()})
        write(f"saved {target}")
        return 0
    kept = _Kept()
    try:
        with contextlib.redirect_stdout(kept):
            code = run(wanted)
    except CaskbookError as error:
        raise CaskbookError(f"--save {target.name} wants {error}" if str(error).startswith("--format") else str(error)) from None
    put_pictures({target: _as(".txt" if wanted == "svg" else kind, kept.getvalue(), target)})
    write(f"saved {target}")
    return code


def _as(kind: str, text: str, target: Path) -> bytes:
    """The text as a file of this kind; data and plain text as they are."""
    if kind not in (".html", ".svg", ".pdf"):
        return text.encode()
    from caskbook.paper import text_pages

    if kind == ".pdf" and not text.isascii():
        say("signs that the letters of a PDF lack are written in ASCII; an .html or .svg has them all")
    if kind == ".svg":
        return text_pages.text_svg(text, f"caskbook {target.stem}")
    draw = {".html": text_pages.text_html, ".pdf": text_pages.text_pdf}[kind]
    return draw(text, f"caskbook {target.stem}", imprint())


def imprint() -> Imprint:
    """Whose pages are made by this run, by which command line, and the clock's day in the house: that of the work tree, which prints them, whatever day
    or revision is told of. Where there is no house.yaml, nobody is named, and the day is that of UTC; where several ledgers were asked, each house is named, and the day
    is that of the first."""
    from caskbook.cli import common
    from caskbook.core.typed_word import typed_word
    from caskbook.ledger.folder import find_ledger
    from caskbook.ledger.house_read import house_of
    from caskbook.paper.imprint import Imprint

    now, command = common.clock(), " ".join(map(typed_word, ("caskbook", *this_run.words())))
    try:
        named = this_run.values_of("--records") or (None,)
        houses = [house_of(find_ledger(Path.cwd(), records, os.environ.get("CASKBOOK_RECORDS"))) for records in named]
        today = today_in(houses[0].timezone, now)
    except (CaskbookError, DayError):
        return Imprint(None, command, now.date())
    names = [name for house in houses if (name := house.on(today).name)]
    return Imprint(", ".join(names) or None, command, today)
