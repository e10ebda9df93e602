"""Which place holds which, read again."""

from __future__ import annotations

import re


def holds(outer: str, inner: str, staves: int | None, bung_stave: int) -> bool:
    """Whether work at `outer` is work at `inner` as well."""
    if outer == inner:
        return True
    if re.fullmatch(r"head-[AB]", outer):
        return inner.startswith(outer + "-")
    if re.fullmatch(r"(croze|chime)-[AB]", outer):
        return inner.startswith(outer + "-")
    if piece := re.fullmatch(r"(head-[AB])-(\d+)", outer):
        n = int(piece[2])
        return inner in (f"{piece[1]}-joint-{n}", f"{piece[1]}-joint-{n - 1}")
    if stave := re.fullmatch(r"stave-(\d+)([a-c]?)", outer):
        n = int(stave[1])
        before = n - 1 or staves
        ends = [f"{ring}-{head}-{n}" for ring in ("croze", "chime") for head in "AB"]
        own = [f"joint-{n}", f"joint-{before}", *ends] + (["bung"] if n == bung_stave else [])
        return inner in own or (not stave[2] and re.fullmatch(rf"stave-{n}[a-c]", inner) is not None)
    return False
