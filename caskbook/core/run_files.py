"""The files of the book that this run wrote: what each held before the run's first write and after its last, by which a commit can hold
just that."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

_kept: dict[tuple[Path, str], RunFile] = {}


@dataclass(slots=True)
class RunFile:
    """One file. `before`, `after`: its bytes, None where there was none; `broken_in`: whether somebody else wrote to it in between; `between`: marks of what it
    held after each write but the last."""

    before: bytes | None
    after: bytes | None
    broken_in: bool = False
    between: set[str] = field(default_factory=set)

    def left(self, data: bytes | None) -> bool:
        """Whether the file stood so after a write of this run that was not the last; another ending of lines is no difference."""
        return bool(self.between) and data is not None and _mark(data) in self.between


def begin() -> None:
    """Forget what an earlier run in the same process wrote."""
    _kept.clear()


def note(root: Path, name: str, old: bytes | None, new: bytes | None) -> None:
    """Keep in mind that a file of the ledger at `root` was written. Called where it is true on disk."""
    known = _kept.get((root, name))
    if known is None:
        _kept[root, name] = RunFile(old, new)
        return
    known.broken_in = known.broken_in or known.after != old
    if known.after is not None:
        known.between.add(_mark(known.after))
    known.after = new


def run_files(root: Path) -> dict[str, RunFile]:
    """Path in the ledger → what the run did to it; without files that hold again what they held before."""
    return {name: one for (at, name), one in _kept.items() if at == root and (one.before != one.after or one.broken_in)}


def _mark(data: bytes) -> str:
    from caskbook.core.digest import short_digest

    return short_digest(data.replace(b"\r\n", b"\n"))
