"""Cask numbers as typed: single ones, ranges `TH-004501..004560`, and what a range leaves out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from caskbook.core.finding import CaskbookError
from caskbook.ledger.files import is_cask_id

MOST = 10_000
_TAIL = re.compile(r"(.*?)([0-9]+)")


def read_casks(tokens: Sequence[str]) -> list[str]:
    """The casks named, in order. CaskbookError for what is no number, a range too long, or a cask named twice."""
    found: list[str] = []
    words = _words(tokens)
    at = 0
    while at < len(words):
        word = words[at]
        if at + 2 < len(words) and words[at + 1] == "..":
            word, at = f"{word}..{words[at + 2]}", at + 2
        at += 1
        if ".." not in word:
            found.append(_single(word))
            continue
        first, casks = _range(word)
        if at < len(words) and words[at].casefold() == "except":
            casks, at = _without(casks, first, words, at + 1)
        found += casks
    return _each_once(found)


def looks_like_casks(word: str) -> bool:
    """Whether a word can belong to a list of casks: a number, a range, the dots, `except` and what follows it."""
    return bool(re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*-[0-9]{3,9}(\.\..*|,.*)?|\.\.|(?i:except)|[0-9]+(,[0-9]*)*,?", word))


def _words(tokens: Sequence[str]) -> list[str]:
    """Tokens split at commas, the dots standing alone made whole again; an `except` keeps its list as one word each."""
    words: list[str] = []
    for token in tokens:
        kept = token.strip()
        if kept.endswith("..") and kept != "..":
            words += [kept[:-2], ".."]
        elif kept.startswith("..") and kept != "..":
            words += ["..", kept[2:]]
        elif words and (words[-1].casefold() == "except" or words[-1].endswith(",")):
            words.append(kept)
        elif kept:
            words += [part for part in kept.split(",") if part]
    return words


def _single(word: str) -> str:
    if "/" in word or not word:
        raise CaskbookError("a path is no cask number: write capitals, then 4 to 9 figures, as TH-004217")
    cask = word.upper()
    if not is_cask_id(cask):
        shown = "".join(sign if sign.isprintable() else "?" for sign in word[:30])
        raise CaskbookError(f"'{shown}' is no cask number: capitals, then 4 to 9 figures, as TH-004217")
    return cask


def _range(word: str) -> tuple[str, list[str]]:
    """(its first number, all numbers) of a typed range. CaskbookError where it runs backwards or is too long."""
    low, _, high = word.partition("..")
    first = _single(low)
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
    shown = "".join(sign if sign.isprintable() else "?" for sign in text[:30])
    raise CaskbookError(f"'{shown}' does not go with {first}: the same letters and as many figures, or its last figures")


def _without(casks: list[str], first: str, words: list[str], at: int) -> tuple[list[str], int]:
    """(the casks less those named behind `except`, where the words go on). CaskbookError for one that is not among them."""
    listed: list[str] = []
    while at < len(words):
        word, at = words[at], at + 1
        listed += [part for part in word.split(",") if part]
        if not word.endswith(","):
            break
    if not listed:
        raise CaskbookError(f"except what? name the casks to leave out, as: {first}.. except {first[-3:]}")
    left_out = {_like(part, first) for part in listed}
    strangers = left_out - set(casks)
    if strangers:
        raise CaskbookError(f"{min(strangers)} is left out of a range it is not in")
    return [cask for cask in casks if cask not in left_out], at


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
