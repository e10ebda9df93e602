"""Numbers in the book that one absent may have been meant for: figures swapped, left out or misread. Only near folders are listed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

_NUMBER = re.compile(r"(.*-)([0-9]+)")
_MOST = 3
_WIDTHS = range(4, 10)


def nearest_numbers(casks: Path, absent: str) -> list[str]:
    """At most three numbers of the folder `casks`, the likeliest first, for one that it has not."""
    found = [name for name in _rewritten(absent) if _is_there(casks, name)]
    if len(found) < _MOST:
        names = list(_neighbours(casks, absent))
        found += sorted(name for name in names if name.startswith(absent))
        found += sorted((name for name in names if _one_off(name, absent)), key=lambda name: (-_shared(name, absent), name))
    return list(dict.fromkeys(found))[:_MOST]


def _rewritten(absent: str) -> Iterator[str]:
    """The number with more or fewer noughts in front, and with two neighbouring figures swapped."""
    parts = _NUMBER.fullmatch(absent)
    if parts is None:
        return
    lead, figures = parts.groups()
    bare = figures.lstrip("0") or "0"
    yield from (lead + bare.zfill(width) for width in _WIDTHS if width >= len(bare) and width != len(figures))
    for at in range(len(figures) - 1):
        one, two = figures[at], figures[at + 1]
        if one != two:
            yield f"{lead}{figures[:at]}{two}{one}{figures[at + 2 :]}"


def _is_there(casks: Path, name: str) -> bool:
    return (casks / name[:-3] / f"{name}.yaml").is_file()


def _neighbours(casks: Path, absent: str) -> Iterator[str]:
    """The numbers of the folder where it would lie, and of those in which longer numbers that begin alike lie."""
    try:
        folders = [item.name for item in casks.iterdir() if item.name == absent[:-3] or item.name.startswith(absent) or absent.startswith(item.name)]
    except OSError:
        return
    for folder in sorted(folders)[:_MOST]:
        yield from _stems(casks / folder)


def _stems(folder: Path) -> Iterable[str]:
    try:
        return [item.name.removesuffix(".yaml") for item in folder.iterdir() if item.name.endswith(".yaml")]
    except OSError:
        return []


def _one_off(name: str, absent: str) -> bool:
    """Whether one figure was misread, left out or put in."""
    if len(name) == len(absent):
        return sum(one != other for one, other in zip(name, absent, strict=True)) == 1
    longer, shorter = sorted((name, absent), key=len, reverse=True)
    return len(longer) == len(shorter) + 1 and any(longer[:at] + longer[at + 1 :] == shorter for at in range(len(longer)))


def _shared(name: str, absent: str) -> int:
    """How many signs at the front are the same: a slip is likeliest at the end."""
    return next((at for at, (one, other) in enumerate(zip(name, absent, strict=False)) if one != other), min(len(name), len(absent)))
