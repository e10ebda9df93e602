"""Whether a merge might have made something impossible, told by the jobs alone: most merges need no closer look."""

from __future__ import annotations

from collections.abc import Iterable

from caskbook.merge.grown import both_grew
from caskbook.words.job_table import jobs_with
from caskbook.yaml.segments import Part, UnreadableError
from caskbook.yaml.segments.in_lines import layout_in_lines

# Jobs after which a cask is filled or empty, open or whole, here or elsewhere, of other parts, or another entry counts or not.
_TURNING = frozenset(jobs_with("changes-state"))
_HARMLESS = frozenset({"note"})


def may_clash(base: bytes, ours: bytes, theirs: bytes) -> bool:
    """False only where no event added on one side can make one added on the other side impossible, and none says what one of the other side says."""
    plain = both_grew(base, ours, theirs)
    try:
        known, one, other = ({}, *map(_by_id, plain)) if plain is not None else (_parts(data) for data in (base, ours, theirs))
    except (UnreadableError, UnicodeDecodeError):
        return False
    mine, yours = (_jobs(side, set(known)) for side in (one, other))
    both = {*known, *(one.keys() & other.keys())}
    if mine & yours and _said(one, both) & _said(other, both):
        return True
    return bool((_turns(mine) and yours - _HARMLESS) or (_turns(yours) and mine - _HARMLESS))


def _parts(data: bytes) -> dict[str | None, Part]:
    return _by_id(layout_in_lines(data.decode("utf-8"))[0].events) if data.strip() else {}


def _by_id(parts: Iterable[Part]) -> dict[str | None, Part]:
    return {part.key: part for part in parts}


def _jobs(side: dict[str | None, Part], known: set[str | None]) -> set[str]:
    added = [part.value for key, part in side.items() if key not in known]
    return {"void" if "replaces" in value else str(value.get("job")) for value in added}


def _said(side: dict[str | None, Part], known: set[str | None]) -> set[str]:
    """What the added entries say but for their ids, of those that the other side has not."""
    return {str(sorted((key, str(value)) for key, value in part.value.items() if key != "id")) for ident, part in side.items() if ident not in known}


def _turns(jobs: set[str]) -> bool:
    return bool(jobs & _TURNING)
