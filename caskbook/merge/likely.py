"""Whether a merge might have made something impossible, told by the jobs alone: most merges need no closer look."""

from __future__ import annotations

from caskbook.yaml.segments import Part, UnreadableError, read_layout

# Jobs after which a cask is filled or empty, open or whole, here or elsewhere, of other parts, or another entry counts or not.
_TURNING = frozenset({
    "receive", "raise", "convert", "made-from", "season", "fill", "rack-out", "rack-in", "empty", "knock-down", "open", "close",
    "break-up", "dispose", "send", "return", "missing", "found", "stave", "head", "hoop", "measure", "void", "moved", "same-as", "correct",
})  # fmt: skip
_HARMLESS = frozenset({"note"})


def may_clash(base: bytes, ours: bytes, theirs: bytes) -> bool:
    """False only where no event added on one side can make one added on the other side impossible."""
    try:
        known, one, other = (_parts(data) for data in (base, ours, theirs))
    except (UnreadableError, UnicodeDecodeError):
        return False
    mine, yours = (_jobs(side, set(known)) for side in (one, other))
    return bool((_turns(mine) and yours - _HARMLESS) or (_turns(yours) and mine - _HARMLESS))


def _parts(data: bytes) -> dict[str | None, Part]:
    return {part.key: part for part in read_layout(data.decode("utf-8"))[0].events} if data.strip() else {}


def _jobs(side: dict[str | None, Part], known: set[str | None]) -> set[str]:
    added = [part.value for key, part in side.items() if key not in known]
    return {"void" if "replaces" in value else str(value.get("job")) for value in added}


def _turns(jobs: set[str]) -> bool:
    return bool(jobs & _TURNING)
