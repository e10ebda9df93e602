"""Cask numbers as typed: single ones, ranges `TH-004501..004560`, and what a list leaves out; in a book also the last figures of a
number, an old mark, a parcel, a file of numbers, and the next free number.

What is typed in full needs no book, and none is asked for it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError
from caskbook.ledger.files import is_cask_id

if TYPE_CHECKING:
    from caskbook.ledger.numbers import Numbers

MOST = 10_000
HOW_NAMED = "TH-007005, 7005 (its last figures), 7005..7012, @PARCEL, was:MARK, file:NUMBERS.txt or a sheet, - (standard input)"
_TAIL = re.compile(r"(.*?)([0-9]+)")
_NEXT = re.compile(r"(?:([A-Za-z][A-Za-z0-9-]*)-)?next(?::([0-9]{1,5}))?", re.ASCII | re.IGNORECASE)
_SUM = re.compile(r"([0-9]{1,7}) casks?", re.ASCII)
_FIGURES = re.compile(r"[0-9]{3,9}", re.ASCII)
_NAMED = ("@", "was:", "file:")
Book = Callable[[], "Numbers"]


def read_casks(tokens: Sequence[str], book: Book | None = None) -> list[str]:
    """The casks named, in order. CaskbookError for what is no number, a range too long, or a cask named twice.

    `book` gives what knows the short names; it is called only where one is typed, and without it only full numbers are taken.
    """
    found: list[str] = []
    words = _words(tokens)
    at = 0
    while at < len(words):
        word = words[at]
        if at + 2 < len(words) and words[at + 1] == "..":
            word, at = f"{word}..{words[at + 2]}", at + 2
        at += 1
        if ".." in word and not word.startswith(_NAMED):
            first, casks = _range(word, book)
        elif (many := _many(word, book)) is not None:
            first, casks = "", many
        else:
            found.append(_single(word, book))
            continue
        if at < len(words) and words[at].casefold() == "except":
            casks, at = _without(casks, first, words, at + 1)
        found += casks
    if len(found) > MOST:
        raise CaskbookError(f"{len(found)} casks are too many for one run: at most {MOST}")
    return _each_once(found)


def read_cask(text: str, book: Book | None = None) -> str:
    """The one cask named. CaskbookError where it is none, or several."""
    casks = read_casks([text], book)
    if len(casks) != 1:
        raise CaskbookError(f"'{_shown(text)}' names {len(casks)} casks: one is wanted here")
    return casks[0]


def looks_like_casks(word: str) -> bool:
    """Whether a word can belong to a list of casks: a number, a range, the dots, `except` and what follows it, or one of the short names."""
    plain = r"[A-Za-z][A-Za-z0-9-]*-[0-9]{3,9}(\.\..*|,.*)?|\.\.|(?i:except)|[0-9]+(,[0-9]*)*,?|[0-9]+\.\..*"
    return bool(re.fullmatch(plain, word)) or is_named(word)


def is_named(word: str) -> bool:
    """Whether a word is one of the notations for casks that no number has: @PARCEL, was:MARK, file:PATH, `-`, next."""
    return word.startswith(_NAMED) or word == "-" or _NEXT.fullmatch(word) is not None


def not_lasting(tokens: Sequence[str]) -> str | None:
    """The word of a list that names other casks each time it is read: the next free number, standard input. None where there is none."""
    return next((word for word in _words(tokens) if word == "-" or _NEXT.fullmatch(word)), None)


def in_full(tokens: Sequence[str]) -> bool:
    """Whether every number is typed in full, so that no book is needed to read the list; what stands behind `except` aside."""
    words, behind = _words(tokens), False
    for at, word in enumerate(words):
        if word.casefold() == "except" or behind:
            behind = word.casefold() == "except" or word.endswith(",")
        elif word != ".." and (at == 0 or words[at - 1] != "..") and not is_cask_id(word.partition("..")[0].upper()):
            return False
    return True


def _words(tokens: Sequence[str]) -> list[str]:
    """Tokens split at commas, the dots standing alone made whole again; an `except` keeps its list as one word each."""
    words: list[str] = []
    for token in tokens:
        kept = token.strip()
        if kept.startswith(_NAMED):
            words.append(kept)
        elif kept.endswith("..") and kept != "..":
            words += [kept[:-2], ".."]
        elif kept.startswith("..") and kept != "..":
            words += ["..", kept[2:]]
        elif words and (words[-1].casefold() == "except" or words[-1].endswith(",")):
            words.append(kept)
        elif kept:
            words += [part for part in kept.split(",") if part]
    return words


def _single(word: str, book: Book | None) -> str:
    """One cask, by its number or by what stands for it in the book."""
    cask = word.upper()
    if is_cask_id(cask):
        return cask
    if book is None or not word:
        raise CaskbookError(
            "a path is no cask number: write capitals, then 4 to 9 figures, as TH-004217"
            if "/" in word or not word
            else f"'{_shown(word)}' is no cask number: capitals, then 4 to 9 figures, as TH-004217"
        )
    return book().bearer(word.removeprefix("was:")) if word.startswith("was:") else book().meant(word)


def _many(word: str, book: Book | None) -> list[str] | None:
    """The casks of a parcel, a file, standard input, or those next free; None for a word that names one cask."""
    following = _NEXT.fullmatch(word)
    if book is None or not (following or word == "-" or word.startswith(("@", "file:"))):
        return None
    if following:
        count = int(following[2] or 1)
        if not 1 <= count <= MOST:
            raise CaskbookError(f"{word}: 1 to {MOST} numbers")
        return book().next_free(following[1].upper() if following[1] else None, count)
    if word.startswith("@"):
        return _parcel(word[1:], book())
    return _listed(word, book)


def _parcel(parcel: str, numbers: Numbers) -> list[str]:
    """The casks of a parcel, without those that are gone unless these are wanted; how many are is told."""
    if not parcel:
        raise CaskbookError("@: which parcel? as @P-2026-020")
    found = numbers.of_parcel(parcel)
    here = [cask for cask, gone in found if numbers.with_gone or not gone]
    lost = len(found) - len(here)
    if not here:
        raise CaskbookError(f"parcel {_shown(parcel)}: all {lost} casks are gone; name those that are meant by their numbers")
    numbers.remarks.append(f"parcel {parcel}: {len(here)} cask{'s' * (len(here) != 1)}" + (f", {lost} gone left out" if lost else ""))
    return here


def _listed(word: str, book: Book) -> list[str]:
    """The casks of a file, or of standard input."""
    return casks_listed(book().text_of(word.removeprefix("file:")), "standard input" if word == "-" else word.removeprefix("file:"), book)


def casks_listed(text: str, where: str, book: Book) -> list[str]:
    """The casks of a text: some on each line, remarks behind a #, a heading `cask` and the sum below as `list` writes them; or a sheet, of which
    the column `cask` is taken. `where` it is from, for what is told of it."""
    rows = _rows_of_sheet(text, where)
    if rows is not None:
        return list(dict.fromkeys(cask for words in rows for cask in read_casks(words, book)))
    lines = [kept for line in text.splitlines() if (kept := line.partition("#")[0].strip())]
    tokens = [part for line in lines for part in line.split()]
    headed = tokens[:1] == ["cask"]
    summed = _SUM.fullmatch(lines[-1]) if lines and (headed or len(tokens) == 2) else None
    tokens = tokens[1 if headed else 0 : -2 if summed else None]
    if any(token == "-" or token.startswith("file:") for token in tokens):
        raise CaskbookError(f"{where}: a list of numbers names no other list")
    casks = read_casks(tokens, book)
    if not casks:
        raise CaskbookError(f"{where}: no cask is named there")
    if summed and int(summed[1]) != len(casks):
        raise CaskbookError(f"{where}: {summed[0]} are said to be there, and {len(casks)} are")
    return casks


def _rows_of_sheet(text: str, path: str) -> list[list[str]] | None:
    """The words of its column `cask`, row by row; None for a plain list. What reads sheets is loaded only for what may be one."""
    if "cask" not in text[:4000].casefold():
        return None
    from caskbook.entry.casks_of_sheet import cask_words

    return cask_words(text, path)


def _range(word: str, book: Book | None) -> tuple[str, list[str]]:
    """(its first number, all numbers) of a typed range. CaskbookError where it runs backwards or is too long."""
    low, _, high = word.partition("..")
    first = _single(low, book)
    last = _like(high, first)
    parts = _TAIL.fullmatch(first)
    assert parts
    start, stop, width = int(parts[2]), int(last[len(parts[1]) :]), len(parts[2])
    if stop < start:
        raise CaskbookError(f"{word}: the range runs backwards")
    if stop - start >= MOST:
        raise CaskbookError(f"{word}: {stop - start + 1} numbers are too many for one range: at most {MOST}")
    return first, [f"{parts[1]}{number:0{width}d}" for number in range(start, stop + 1)]


def _like(text: str, first: str) -> str:
    """The number meant by a full id or by its last figures; text before the figures and width as the first one's."""
    parts = _TAIL.fullmatch(first)
    assert parts
    tail = text.strip().upper()
    if tail.isdecimal() and tail.isascii() and len(tail) <= len(parts[2]):
        return first[: len(first) - len(tail)] + tail
    if is_cask_id(tail) and len(tail) == len(first) and tail.startswith(parts[1]) and tail[len(parts[1]) :].isdecimal():
        return tail
    raise CaskbookError(f"'{_shown(text)}' does not go with {first}: the same letters and as many figures, or its last figures")


def _without(casks: list[str], first: str, words: list[str], at: int) -> tuple[list[str], int]:
    """(the casks less those named behind `except`, where the words go on). CaskbookError for one that is not among them."""
    listed: list[str] = []
    while at < len(words):
        word, at = words[at], at + 1
        listed += [part for part in word.split(",") if part]
        if not word.endswith(","):
            break
    if not listed:
        one = first or casks[0]
        raise CaskbookError(f"except what? name the casks to leave out, as: {one}.. except {one[-3:]}")
    left_out = {_like(part, first) if first else _among(part, casks) for part in listed}
    strangers = left_out - set(casks)
    if strangers:
        raise CaskbookError(f"{min(strangers)} is left out of a {'range' if first else 'list'} it is not in")
    return [cask for cask in casks if cask not in left_out], at


def _among(part: str, casks: Sequence[str]) -> str:
    """The one of these casks that is meant by its number or its last figures."""
    if is_cask_id(part.upper()):
        return part.upper()
    found = [cask for cask in casks if _FIGURES.fullmatch(part) and cask.endswith(part)]
    if len(found) != 1:
        raise CaskbookError(f"except {_shown(part)}: {'none of the list' if not found else ' or '.join(found[:4])}; write the number in full")
    return found[0]


def _shown(text: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in text[:30])


def _each_once(casks: list[str]) -> list[str]:
    twice = next(_repeated(casks), None)
    if twice:
        raise CaskbookError(f"{twice} is named twice")
    return casks


def _repeated(casks: list[str]) -> Iterator[str]:
    seen: set[str] = set()
    for cask in casks:
        if cask in seen:
            yield cask
        seen.add(cask)
