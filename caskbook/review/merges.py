"""What merges brought together: casks that both sides had worked on, and entries that cannot both be, which neither side had seen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import PurePosixPath

from caskbook.git import Git, Joined
from caskbook.ledger.paths import is_cask_path
from caskbook.merge.clash import corrected_apart, impossible, newly_impossible
from caskbook.model.house import House
from caskbook.review.span import Stretch


@dataclass(frozen=True, slots=True)
class Joint:
    """Casks that both sides of a merge had entered on, and a line for each entry that only the union made impossible, and each key of a head that the sides
    corrected to two values."""

    casks: tuple[str, ...] = ()
    clashes: tuple[str, ...] = ()


def joint(git: Git, span: Stretch, house: House, names: Sequence[str] | None = None) -> Joint:
    """What the merges of a stretch joined, as far as it still clashes at the end of it; nothing of the work tree. `names`: only of these files."""
    if span.new is None:
        return Joint()
    under = [f"{git.prefix}{name}" for name in (("casks/",) if names is None else names)]
    found = [one for one in git.joined(span.old, span.new, *under) if is_cask_path(one.path[len(git.prefix) :]) and len(set(one.old_oids)) > 1]
    if not found:
        return Joint()
    paths = list(dict.fromkeys(one.path for one in found))
    last = {entry.path: entry.oid for entry in git.tree(span.new, *paths)}
    clashes = _clashes(git, found, last, house)
    return Joint(tuple(sorted(PurePosixPath(path).stem for path in paths)), tuple(dict.fromkeys(clashes)))


def _clashes(git: Git, found: Iterable[Joined], last: dict[str, str], house: House) -> Iterator[str]:
    listed = list(found)
    wanted = {oid for one in listed for oid in (*one.old_oids, one.new_oid)} | set(last.values())
    blobs = git.blobs(sorted(oid for oid in wanted if oid.strip("0")))
    for one in listed:
        if one.path in last and one.new_oid in blobs:
            sides = [blobs[oid] for oid in one.old_oids if oid in blobs]
            still = impossible(blobs[last[one.path]], house)
            yield from (text for key, text in newly_impossible(blobs[one.new_oid], sides, house).items() if key in still)
            yield from (text for mine, yours in combinations(sides, 2) for text in corrected_apart(blobs[last[one.path]], mine, yours))
