"""Short names of casks in a request, put into full numbers before anything is read from it; full numbers stay, and no book is asked."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError
from caskbook.entry.casks import in_full, is_named, looks_like_casks, read_cask, read_casks
from caskbook.entry.fields import NAMING_KINDS, JobField
from caskbook.entry.request import Request, fields_typed
from caskbook.ledger.paths import is_cask_id

if TYPE_CHECKING:
    from caskbook.entry.casks import Book

_LISTED = (("rack", "to"), ("convert", "as"), ("convert", "children"))
_SINGLE = (("convert", "first_id"), ("swap-heads", "with"), ("run", "like"))
_MAY_NAME = (("top", "from"),)
"""Free text in which a cask may be named."""
_MOST_MARKS = 20
_SHORT = re.compile(r"[0-9]{3,9}", re.ASCII)


def name_casks(request: Request, book: Book | None) -> None:
    """The casks of the request by their numbers, those behind options too. CaskbookError for a name that means no cask, or several."""
    if request.named:
        request.casks, request.named = _named_casks(request, book), []
    if book is None:
        return
    for place in _LISTED:
        if place in request.given and not in_full(words := [part for text in request.given[place] for part in text.replace(";", " ").split()]):
            request.given[place] = read_casks(words, book)
    for place in _SINGLE:
        if (text := request.one(place[1], place[0])) is not None:
            request.given[place] = [named_alone(text, book)]
    for job in request.jobs:
        for one in fields_typed(job):
            if (one.kind in NAMING_KINDS or (job, one.key) in _MAY_NAME) and (job, one.key) in request.given and (job, one.key) not in (*_LISTED, *_SINGLE):
                request.given[job, one.key] = [named_field(one, text, book) for text in request.given[job, one.key]]


def _named_casks(request: Request, book: Book | None) -> list[str]:
    """The casks that a request names. CaskbookError, with the place that the word may be a slip of."""
    try:
        return read_casks(request.named, book)
    except CaskbookError as error:
        from caskbook.entry.short_words import place_hint

        words = [word for word in request.named if not looks_like_casks(word) and word in str(error)]
        hint = place_hint(request.jobs, words, fields_typed)
        if not hint:
            raise
        raise CaskbookError(f"{error}{hint}") from None


def named_field(one: JobField, text: str, book: Book | None) -> str:
    """What was typed for a field that names casks, short names put into full ones; of any other field as it is."""
    if book is not None and (one.job, one.key) in _MAY_NAME:
        return _named_or_text(text, book)
    if book is None or one.kind not in NAMING_KINDS or text.strip()[:1] in ("[", "{"):
        return text
    if one.kind == "casks":
        words = text.replace(";", " ").split()
        return text if in_full(words) else " ".join(read_casks(words, book))
    if one.kind in ("cask", "source"):
        return named_alone(text, book)
    parts = re.split(r"([;,])" if one.kind == "parents" else r"(;)", text)
    return "".join(_first_named(part, book) for part in parts)


def named_alone(text: str, book: Book) -> str:
    """One cask, put into its full number where it is one of the short names."""
    short = _SHORT.fullmatch(text.strip()) or is_named(text.strip())
    return read_cask(text.strip(), book) if short else text


def _named_or_text(text: str, book: Book) -> str:
    """A cask where the text is its number, the end of one of the book, or an old mark named as such; any other text as it is, as of a tank."""
    word = text.strip()
    if word.startswith("was:") or (_SHORT.fullmatch(word) and book().ending(word)):
        return read_cask(word, book)
    return word.upper() if is_cask_id(word.upper()) else text


def _first_named(part: str, book: Book) -> str:
    found = re.match(r"(\s*)(\S+)", part)
    if not found or not (_SHORT.fullmatch(found[2]) or found[2].startswith("was:")):
        return part
    return found[1] + read_cask(found[2], book) + part[found.end() :]


def name_by_marks(request: Request, absent: Sequence[str], book: Book) -> None:
    """Of casks that the book has not under these numbers, those whose heads bear them from before by their own. CaskbookError where several do."""
    request.casks = bearers_of(request.casks, absent, book)


def bearers_of(casks: Sequence[str], absent: Sequence[str], book: Book, *, wholly: bool = False) -> list[str]:
    """The casks, in place of an absent one the cask whose head bears that number from before, unless that is among them. CaskbookError
    where several bear it. `wholly`: all files are looked through where nothing tells it sooner."""
    named = list(casks)
    for cask in absent if len(absent) <= _MOST_MARKS else ():
        found = book().bearing(cask, wholly=wholly)
        if len(found) > 1:
            raise CaskbookError(f"{cask} is an old mark of {', '.join(found[:8])}: which one?")
        if found and found[0] not in named:
            book().tell_mark(cask, found[0])
            named = [found[0] if one == cask else one for one in named]
    return named
