"""Two entries that were given one id on two machines: one keeps it, the other gets a new one, and both stay.

Ids are minted from a minute or a row's content with 14 more bits, so two machines that know nothing of each other may mint the same.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.merge.values import alike
from caskbook.model.ids import is_id, mint_between
from caskbook.words.job_table import jobs_with
from caskbook.yaml.segments.by_lines import Part
from caskbook.yaml.segments.event_ids import refers_to, with_new_id

Events = Sequence[Part]


def with_ids_of_their_own(base: Events, ours: Events, theirs: Events, notes: list[str], *, ours_stays: bool = False) -> tuple[Events, Events, Events]:
    """The three versions with one id for one entry, as far as that is safe; `notes` gets a line for each id given anew.

    `ours_stays`: what our side holds has landed and no merge commit will tell of both sides (a rebase, a cherry-pick), so their
    entry gets the new id. Without it, the outcome is the same whichever side is ours.
    """
    sides = [list(base), list(ours), list(theirs)]
    rows = [_single(side) for side in sides]
    for key in sorted(rows[1].keys() & rows[2].keys()):
        one, other = sides[1][rows[1][key]], sides[2][rows[2][key]]
        if alike(one.value, other.value):
            was = rows[0].get(key)
            if was is not None and not alike(sides[0][was].value, one.value):
                _follow(sides, key)  # Both sides took the same renumbering.
            continue
        if key in rows[0]:
            _follow(sides, key)
        if key in _single(sides[0]) or not all(key in _single(side) for side in sides[1:]):
            continue
        if _sheet_apart(one, other):
            _one_sheet(sides, key, ours_stays=ours_stays)
        else:
            _part(sides, key, notes, ours_stays=ours_stays)
    return sides[0], sides[1], sides[2]


def why_not_parted(key: str, ours: Events, theirs: Events) -> str:
    """How to go on with two entries of one id that stay a conflict because one is referred to; else empty."""
    if not is_id(key) or not (_is_bound(ours, key) or _is_bound(theirs, key)):
        return ""
    return (
        "; an entry that refers to it, or another cask's file that shares it, cannot say which of the two it means: leave the merge, take the void, replacement or answer back"
        " in the commits that have not been pushed, merge, and enter it again"
    )


def _single(side: Events) -> dict[str, int]:
    """Id → row, of the ids that stand once."""
    found: dict[str, int] = {}
    twice: set[str] = set()
    for row, part in enumerate(side):
        if part.key is not None and part.key in found:
            twice.add(part.key)
        elif part.key is not None and isinstance(part.value, dict) and is_id(part.key):
            found[part.key] = row
    return {key: row for key, row in found.items() if key not in twice}


def _is_named(side: Events, key: str) -> bool:
    return any(part.key != key and refers_to(part.value, key) for part in side)


def _is_bound(side: Events, key: str) -> bool:
    """Whether a side's entry of this id has to keep it: another entry names it, or other casks' files have their side of it."""
    return _is_named(side, key) or any(part.key == key and part.value.get("job") in jobs_with("shared-id") for part in side)


def _bare(part: Part) -> dict[str, Any]:
    return {key: value for key, value in part.value.items() if key != "id"}


def _content(part: Part) -> str:
    return json.dumps(_bare(part), sort_keys=True, default=str, ensure_ascii=False)


def _twin(side: Events, of: Part, start: str = "") -> str | None:
    """The id, beginning so, under which a side holds the content of an entry beside that entry's own id."""
    ids = (
        part.key
        for part in side
        if isinstance(part.value, dict) and part.key and part.key.startswith(start) and part.key != of.key and alike(_bare(part), _bare(of))
    )
    return next(ids, None)


def _follow(sides: list[list[Part]], key: str) -> None:
    """An entry of the common version that a merge of one side gave a new id: it has that id in all three versions."""
    was = sides[0][_single(sides[0])[key]]
    known = {part.key for part in sides[0]}
    new: set[str] = set()
    for side in sides[1:]:
        now = side[_single(side)[key]]
        twin = _twin(side, was)
        if alike(now.value, was.value):
            if _is_named([part for part in side if part.key not in known], key):
                return  # It was referred to by its old id meanwhile.
        elif twin is None or twin in known:
            return
        else:
            new.add(twin)
    if len(new) == 1 and not _is_named(sides[0], key):
        for side in sides:
            _renamed(side, was, new.copy().pop())


def _renamed(side: list[Part], was: Part, new: str) -> None:
    """Gives the entry of this id and content the new id in its one line that says it."""
    for row, part in enumerate(side):
        if part.key == was.key and alike(part.value, was.value) and (found := with_id(part, new)) is not None:
            side[row] = found


def with_id(part: Part, new: str) -> Part | None:
    """The entry under another id, every other byte as it was; None where its id does not stand there just once."""
    text = with_new_id("\n".join(part.lines), part.key or "", new)
    return replace(part, key=new, lines=tuple(text.split("\n")), value={**part.value, "id": new}) if text is not None else None


def _sheet_apart(one: Part, other: Part) -> bool:
    """Whether two entries are one row of a sheet that was read under two file names."""
    bare = [{name: value for name, value in part.value.items() if name != "sheet"} for part in (one, other)]
    return alike(bare[0], bare[1]) and all(isinstance(part.value.get("sheet"), str) for part in (one, other))


def _one_sheet(sides: list[list[Part]], key: str, *, ours_stays: bool) -> None:
    """The smaller name of the sheet on both sides, or ours."""
    parts = [side[_single(side)[key]] for side in sides[1:]]
    first = parts[0] if ours_stays else min(parts, key=lambda part: str(part.value["sheet"]))
    lines = [[row for row, text in enumerate(part.lines) if re.match(r"\s+sheet:", text)] for part in parts]
    if all(len(rows) == 1 for rows in lines):
        text = first.lines[lines[parts.index(first)][0]].strip()
        for side, part, (row,) in zip(sides[1:], parts, lines, strict=True):
            indent = part.lines[row][: len(part.lines[row]) - len(part.lines[row].lstrip())]
            side[_single(side)[key]] = replace(part, lines=(*part.lines[:row], indent + text, *part.lines[row + 1 :]), value=first.value)


def _part(sides: list[list[Part]], key: str, notes: list[str], *, ours_stays: bool) -> None:
    """Two entries of one id that no common version holds: the one that is to lose the id gets another on its side."""
    parts = [side[_single(side)[key]] for side in sides[1:]]
    loser = _loser(sides, parts, ours_stays=ours_stays)
    if loser is None:
        return
    side, part = sides[1 + loser], parts[loser]
    new = _twin(sides[2 - loser], part, key) or _new_id(part, side, {one.key or "" for listed in sides for one in listed})
    found = with_id(part, new) if new is not None else None
    if found is not None and new is not None:
        side[_single(side)[key]] = found
        kept = parts[1 - loser]
        notes.append(
            f"{key} was the id of two entries: the {kept.value.get('job')} of {kept.day} keeps it, the {part.value.get('job')} of {part.day} is {new} now"
        )


def _loser(sides: list[list[Part]], parts: list[Part], *, ours_stays: bool) -> int | None:
    """Which of two entries gets a new id: 0 ours, 1 theirs; None where neither can."""
    key = parts[0].key or ""
    named = [_is_bound(side, key) for side in sides[1:]]
    known = [_twin(sides[2 - n], parts[n], key) is not None for n in (0, 1)]
    if any(known):  # A merge decided it before: decided otherwise, an entry would stand twice.
        loser = known.index(True)
        return None if all(known) or named[loser] or (ours_stays and loser == 0) else loser
    if ours_stays:
        return None if named[1] else 1
    if all(named):
        return None
    if any(named):
        return named.index(False)
    return max((0, 1), key=lambda n: (parts[n].day, _content(parts[n])))


def _new_id(part: Part, side: Events, taken: set[str]) -> str | None:
    """An id right behind the old one, made of the content alone, below what was entered behind it on that day."""
    number = int.from_bytes(hashlib.sha256(_content(part).encode("utf-8", "surrogatepass")).digest()[:16], "big")
    key = part.key or ""
    longer = min((one.key for one in side if one.key and one.key != key and one.key.startswith(key) and one.day == part.day), default=None)
    try:
        found = mint_between(key, longer, random_bits=lambda bits: number % (1 << bits), taken=taken, longer=True)
    except CaskbookError:
        return None
    return found if is_id(found) else None
