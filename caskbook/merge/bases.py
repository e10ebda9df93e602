"""Two sides that have several common versions, as after lines of work that crossed: united over all of them, none of them preferred."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.merge.lines import Merged
from caskbook.merge.whole import merge


def merge_over(
    bases: Sequence[bytes], common: bytes, ours: bytes, theirs: bytes, *, path: str = "", marker_size: int = 7, ours_stays: bool = False
) -> tuple[Merged, bytes]:
    """(the merge, the common version it was made over). `bases`: all common versions; `common`: what these grew from, or empty.

    The base of the law is the union of the bases: an entry of any of them that one side has not was removed there. Where they do
    not unite themselves, the merge stands only if it is clean over each of them.
    """
    base: bytes | None = bases[0] if bases else b""
    for other in bases[1:]:
        found = merge(common, base or b"", other, path=path)
        base = found.data if found.clean else None
        if base is None:
            break
    if base is not None:
        return merge(base, ours, theirs, path=path, marker_size=marker_size, ours_stays=ours_stays), base
    tried = [(merge(one, ours, theirs, path=path, marker_size=marker_size, ours_stays=ours_stays), one) for one in bases]
    return next((one for one in tried if not one[0].clean), tried[0])
