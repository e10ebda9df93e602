"""What changed in the text of a cask file and not in its data: comments, spaces, newlines, the order of the head's keys."""

from __future__ import annotations

from collections.abc import Container, Iterable
from datetime import date
from itertools import zip_longest
from typing import Any

from caskbook.yaml.segments import IN_BRACKETS, Layout, Part, is_remark

Pair = tuple[int, int]


def same(one: Any, other: Any) -> bool:
    """Equal in value and kind throughout; the order of a map's keys is free, and a plain day counts as its ten characters."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(value, other[key]) for key, value in one.items())
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    if {type(one), type(other)} == {date, str}:
        return bool(str(one) == str(other))
    return type(one) is type(other) and bool(one == other)


def laid_out(before: Layout, after: Layout, pairs: list[Pair], rows: Container[int] = (), keys: Container[str] = ()) -> Iterable[str]:
    """What changed in the text and not in the data, in a few words each; not of the events in these rows and these keys of the head, which are
    told already."""
    if IN_BRACKETS in (before.indent, after.indent) and before.indent != after.indent and before.events and after.events:
        yield "how the entries stand, in brackets or in lines,"
        return
    for one, other in pairs:
        was, now = before.events[one], after.events[other]
        if same(was.value, now.value) and was.lines != now.lines and other not in rows:
            yield f"{_only(was, now)} of event {now.key or 'without an id'}"
    heads = {part.key: part for part in after.head}
    for part in before.head:
        again = heads.get(part.key)
        if again is not None and same(part.value, again.value) and part.lines != again.lines and part.key not in keys:
            yield f"{_only(part, again)} of `{part.key}`"
    if before.crlf != after.crlf:
        yield f"the newlines, now {'CRLF' if after.crlf else 'LF'}"
    if [part.key for part in before.head if part.key in heads] != [p.key for p in after.head if p.key in {b.key for b in before.head}]:
        yield "the order of the head's keys"
    if before.tail != after.tail or _opened_anew(before, after) or _gaps(before, after, pairs):
        yield "comments or blank lines between the parts"


def _only(one: Part, other: Part) -> str:
    remarks = [line for line in one.lines if is_remark(line)] != [line for line in other.lines if is_remark(line)]
    plain = [line.split(" #")[0].strip() for line in one.lines if not is_remark(line)]
    again = [line.split(" #")[0].strip() for line in other.lines if not is_remark(line)]
    return "only a comment" if plain == again and (remarks or _words(one) != _words(other)) else "only the layout"


def _words(part: Part) -> list[str]:
    return [line.strip() for line in part.lines]


def _opened_anew(before: Layout, after: Layout) -> bool:
    """Whether the line that opens the list changed, although there was something in the list before and is now."""
    if before.opener is None or after.opener is None or not before.events or not after.events:
        return False
    return before.opener.lines != after.opener.lines


def _gaps(before: Layout, after: Layout, pairs: list[Pair]) -> bool:
    """Whether blank lines came or went between two events that were neighbours and still are."""
    for (one, other), (next_one, next_other) in zip_longest(pairs, pairs[1:], fillvalue=(-9, -9)):
        neighbours = next_one == one + 1 and next_other == other + 1
        if neighbours and before.events[next_one].gap != after.events[next_other].gap:
            return True
    return bool(pairs) and pairs[0] == (0, 0) and before.first_gap != after.first_gap
