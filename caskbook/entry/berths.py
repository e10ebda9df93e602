"""Berths dealt out to casks in order: `W1/05/1..4`, or a list; which berths are a place for one cask, and how one walks along them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

MOST = 10_000
_WORD = re.compile(r"[A-Za-z0-9][A-Za-z0-9/_-]*")
_RANGE = re.compile(r"(.*?)([0-9]{1,6})\.\.(.+)")


def is_one_place(berth: str) -> bool:
    """Whether a berth is a place for one cask: store, row and a number. A yard or a row holds many."""
    return bool(re.fullmatch(r"[^/]+(/[^/]+)+/[0-9]+", berth))


def walking_order(berth: str | None, cask: str) -> tuple[bool, list[tuple[str, int]], str]:
    """The order in which somebody walks along the berths: W1/05/2 before W1/05/10, and casks without one at the end."""
    parts = [(text, int(number or 0)) for text, number in re.findall(r"([^0-9]*)([0-9]*)", berth or "") if text or number]
    return not berth, parts, cask


def read_berths(text: str) -> list[str]:
    """The berths, or beginnings of berths, that were typed: one, a list, a range. CaskbookError for what is none."""
    berths = list(dict.fromkeys(_read(text)))
    if not berths:
        raise CaskbookError(f"'{''.join(sign if sign.isprintable() else '?' for sign in text[:40])}' is no berth: as W1/05, W1/05/1..20 or Y2")
    return berths


def deal(text: str | None, casks: Sequence[str]) -> dict[str, str]:
    """Cask → its berth, where several berths were typed; empty where one, or a free text, is meant for all.

    CaskbookError where there are not as many berths as casks, or a range cannot be read.
    """
    berths = _read(text or "")
    if len(berths) < 2:
        return {}
    if len(berths) != len(casks):
        raise CaskbookError(f"--berth {(text or '')[:40]}: {number_of(len(berths), 'berth')} for {number_of(len(casks), 'cask')}; name as many, in order")
    twice = next((berth for n, berth in enumerate(berths) if berth in berths[:n]), None) if len(set(berths)) < len(berths) else None
    if twice:
        raise CaskbookError(f"--berth: {twice} is named twice")
    return dict(zip(casks, berths, strict=True))


def _read(text: str) -> list[str]:
    parts = [part.strip() for part in re.split(r"[;,]", text) if part.strip()]
    if not all(_WORD.fullmatch(part) or ".." in part for part in parts):
        return []  # This is a place told in words.
    return [berth for part in parts for berth in _range(part)]


def _range(part: str) -> list[str]:
    """The berths that one part of `--berth` stands for: itself, or each of a range. CaskbookError where the range is none."""
    if ".." not in part:
        return [part]
    found = _RANGE.fullmatch(part)
    tail = found[3].removeprefix(found[1]) if found else ""
    if not found or not (tail.isascii() and tail.isdecimal() and len(tail) <= 6):
        raise CaskbookError(f"--berth {part[:40]}: no range of berths; as W1/05/1..4")
    first, last = int(found[2]), int(tail)
    if last < first or last - first >= MOST:
        raise CaskbookError(f"--berth {part[:40]}: the range runs backwards" if last < first else f"--berth {part[:40]}: at most {MOST} berths")
    width = len(found[2]) if found[2].startswith("0") else 0
    return [f"{found[1]}{number:0{width}d}" for number in range(first, last + 1)]
