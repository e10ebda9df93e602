"""Figures of one entry that contradict one another: of each pair of the table one is left out."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.entry.entry import Entry
from caskbook.entry.plan import Desk
from caskbook.entry.request import Request
from caskbook.ledger.whole import whole_life

# (keys of the one (KEY=WORD: only where it is that word, KEY!WORD: only where it is not), keys of the other, as typed, why and what to leave out)
CLASHES: tuple[tuple[Collection[str], Collection[str], str, str], ...] = (
    (("temp_c", "temp"), ("at_20",), "--temp with --at-20", "litres at 20 °C have no other temperature; leave one of them out"),
    (("contents!spirit",), ("spirit",), "--contents with --spirit", "two words for what is in it; leave one of them out"),
    (("method=water",), ("psi",), "--method water with --psi", "a test with water alone has no air pressure; leave one of them out"),
    (("litres",), ("wet_mm", "dry_mm"), "--litres with --wet or --dry", "the litres measured or worked out of the dip; leave one of them out"),
)


def refuse_clashes(request: Request) -> None:
    """CaskbookError for the first two that were typed for one job."""
    for ones, others, said, why in CLASHES:
        for job in request.jobs:
            if _typed(request, job, ones) and _typed(request, job, others):
                raise CaskbookError(f"{said}: {why}")


def _typed(request: Request, job: str, keys: Collection[str]) -> bool:
    for key in keys:
        name, only, other = *key.partition("=")[::2], key.partition("!")[2]
        text = request.given.get((job, name.partition("!")[0]), [""])[-1].strip().casefold()
        if text not in ("", "none", other) and only in ("", text):
            return True
    return False


_REFUTED = {
    ("verdict", "sound"): "findings", ("verdict", "clean"): "faults", ("result", "pass"): "leaks",
    **{("seen", wet): "closed_as" for wet in ("weep", "drip", "run")},
}  # fmt: skip


def without_contradicted(carried: Mapping[str, Any], typed: Collection[str]) -> dict[str, Any]:
    """What a replacement takes over, but for what contradicts a figure typed anew."""
    pairs = [pair for ones, others, _, _ in CLASHES for pair in ((ones, others), (others, ones))]
    left_out = {key for new, old in pairs if any(key in typed for key in new) for key in old}
    return {key: value for key, value in carried.items() if key not in left_out}


def without_refuted(data: Mapping[str, Any], typed: Collection[str]) -> dict[str, Any]:
    """What a replacement says, but for what it took over and its verdict typed anew denies: findings of a sound cask, leaks of a tight one,
    what made dry what was seen wet."""
    refuted = {field for (key, word), field in _REFUTED.items() if key in typed and data.get(key) == word and field not in typed}
    return dict(data) if data.get("cured_by") else {name: value for name, value in data.items() if name not in refuted}


def refuse_dips(desk: Desk, entries: Iterable[Entry]) -> None:
    """CaskbookError where a wet and a dry dip are not one measurement, the bung diameter being known."""
    for entry in entries:
        wet, dry = entry.data.get("wet_mm"), entry.data.get("dry_mm")
        if wet is None or dry is None:
            continue
        from caskbook.loss.gauges import ROD_MM
        from caskbook.loss.records import vessel_at

        inside = vessel_at(whole_life(desk.ledger, desk.page(entry.cask).cask, entry.day)).inside
        together = wet + dry
        if inside is not None and abs(together - inside.bung_mm) > ROD_MM:
            raise CaskbookError(
                f"{entry.cask}: --wet with --dry: together {together:g} mm, and the bung diameter is {inside.bung_mm:g} mm; leave one of them out"
            )
