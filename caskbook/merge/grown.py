"""Both sides only put entries behind what the common version has: told by bytes, and united without cutting the files into pieces."""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from itertools import pairwise
from typing import Any

from caskbook.model.ids import is_id
from caskbook.yaml.fast import fast_item, fast_items
from caskbook.yaml.grown import grown
from caskbook.yaml.segments.by_lines import EVENTS, NotPlainError, Part

_FIRST = "id"
Added = tuple[Part, ...]


def united(base: bytes, ours: bytes, theirs: bytes) -> bytes | None:
    """What the merge of three versions comes to where both sides only grew and their entries belong behind all others, in the order of the file: by
    (date, id). None where that is not sure."""
    sides = both_grew(base, ours, theirs)
    if sides is None:
        return None
    added = sorted((*sides[0], *sides[1]), key=lambda part: part.order)
    return base + "".join(f"{line}\n" for part in added for line in part.lines).encode()


@lru_cache(maxsize=2)
def both_grew(base: bytes, ours: bytes, theirs: bytes) -> tuple[Added, Added] | None:
    """What each side put behind the common version, where neither did anything else, all of it is written the plain way, each entry has an id of its own, and
    none belongs before one that was there. None where that is not sure."""
    texts = [grown(base, side, _FIRST) for side in (ours, theirs)]
    known = fast_items(base, EVENTS, _FIRST) if all(texts) else None
    if known is None or texts[0] is None or texts[1] is None:
        return None
    try:
        mine, yours = (tuple(map(_part, entries)) for entries in texts if entries is not None)
        before = [_order(text) for text in known[1]]
    except NotPlainError:
        return None
    ids = [*(ident for _, ident in before), *(part.key for part in (*mine, *yours))]
    if len(set(ids)) < len(ids) or any(one > other for one, other in pairwise(before)) or any(part.order < before[-1] for part in (*mine, *yours)):
        return None
    return mine, yours


def _part(text: str) -> Part:
    """One entry, from its text behind the key that begins it. NotPlainError where it is not plain, or has no day."""
    ident, item = _item(text)
    return Part(ident, tuple(f"  - {_FIRST}: {text}".split("\n")), {_FIRST: ident, **item}, 0)


def _order(text: str) -> tuple[str, str]:
    """Day and id of an entry, by which files are ordered. NotPlainError as of `_part`."""
    ident, item = _item(text)
    day = item["date"]
    return day if isinstance(day, str) else day.isoformat(), ident


def _item(text: str) -> tuple[str, dict[str, Any]]:
    ident, _, rest = text.partition("\n")
    item = fast_item(rest.rstrip("\n"), _FIRST) if is_id(ident) else None
    if item is None or not isinstance(item.get("date"), str | date):
        raise NotPlainError
    return ident, item
