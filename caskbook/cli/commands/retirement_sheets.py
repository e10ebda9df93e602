"""`report retirement CASK…`: the sheet of each cask named, printed or saved."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.choosing import chosen
from caskbook.cli.common import Book, open_book, say, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.index_answer import answered
from caskbook.cli.remarks import left_out
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.work.retirement import Retirement

_ENDINGS = (".pdf", ".svg", ".txt")
_MOST = 500
"""Sheets that are made at once: more than anybody signs in a day."""


def run_sheets(what: Sequence[str], which: tuple[str | None, str | None, str | None], form: str, save: str | None) -> int:
    """Print the sheets as text, JSON or JSON lines, or save them, a page a cask. 0; 1 where none of the casks has an entry yet.

    `which`: the ledger, the day and the revision, as typed.
    """
    records, as_of, at = which
    from caskbook.cli.saving import read_target
    from caskbook.core.extra import library

    target = read_target(save, _ENDINGS, "caskbook report retirement") if save else None
    if target is not None and target.suffix.lower() != ".txt":
        library("reportlab")  # What lacks is told before the book is read.
    casks = chosen({"cask": list(what)}, records, as_of, at)["cask"]
    if len(casks) > _MOST:
        raise CaskbookError(f"{len(casks)} sheets are too many: at most {_MOST} at once")
    book = open_book(records, as_of, at, joins=True)
    found = _gathered(book, casks, at)
    if not found:
        return 1
    if target is not None:
        _save(found, target)
    elif form == "text":
        from caskbook.render.retirement_text import page_text

        write_text("\n\n".join(page_text(one) for one in found), screen())
    else:
        from caskbook.render.plain_json import data_json
        from caskbook.render.retirement_data import sheet_data

        write_data(data_json([sheet_data(one) for one in found], form))
    return 0


def _gathered(book: Book, casks: Sequence[str], at: str | None) -> list[Retirement]:
    """What is known of each cask: its own files, and of all others what their fills lose and how long jobs take, out of the index."""
    from caskbook.work.coming import files_of
    from caskbook.work.hours import Hours
    from caskbook.work.retirement import retirement_of

    index, answer = answered(book, at)
    with index:
        left_out(answer)
        hours = Hours(lambda kind: book.ledger.house.on(book.day, kind), index.ahead().work_minutes)
        peers, found = index.peers(), []
        for cask in casks:
            files = files_of(book.ledger, cask, book.day)
            if files.life(book.day).begun:
                found.append(retirement_of(files, book.day, peers, hours))
            else:
                say(f"{cask} has no entry up to {book.day}")
    return found


def _save(found: Sequence[Retirement], target: Path) -> None:
    """A text or a PDF with a page a cask, or an SVG of each."""
    from caskbook.cli.saving import put_pictures, say_lacking
    from caskbook.render.retirement_sheet import sheet_of
    from caskbook.render.retirement_text import page_text

    kind = target.suffix.lower()
    if kind == ".txt":
        put_pictures({target: ("\f".join(f"{page_text(one)}\n" for one in found)).encode()})
        say(f"{number_of(len(found), 'sheet')}: {target}")
        return
    from caskbook.cli.saved_output import imprint
    from caskbook.paper import pictures
    from caskbook.paper.imprint import with_imprint
    from caskbook.paper.sheets import page_of

    sheets = [sheet_of(one) for one in found]
    say_lacking(
        text for sheet in sheets for text in (*sheet.top, *(part for block in sheet.blocks for row in block.rows for cell in row.cells for part in cell))
    )
    pages = [page_of(sheet) for sheet in sheets]
    if kind == ".pdf":
        put_pictures({target: pictures.pdf(with_imprint(pages, imprint()), "retirement sheets")})
    else:
        names = [target] if len(sheets) == 1 else [target.with_name(f"{target.stem}-{sheet.cask}.svg") for sheet in sheets]
        put_pictures({name: pictures.svg(page, sheet.cask) for name, page, sheet in zip(names, pages, sheets, strict=True)})
    say(f"{number_of(len(pages), 'sheet')} of A4: {target}")
