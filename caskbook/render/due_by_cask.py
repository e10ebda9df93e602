"""The due list told cask by cask: each once, with all that is due on it, and what is for nothing if it is retired in one line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from caskbook.due.registry import RULES
from caskbook.render.console import safe
from caskbook.render.due import as_dict, head_lines, row_lines, short_berth, word_of
from caskbook.render.plain_json import data_json
from caskbook.render.verdict import Judged, Unread, ledger_of, unread_of

_IF_KEPT = frozenset(rule.name for rule in RULES if rule.if_kept)


@dataclass(frozen=True, slots=True)
class DueCask:
    """A cask and what is due on it, in the order of the list."""

    verdicts: tuple[Judged, ...]

    @property
    def cask(self) -> Judged:
        """Any of its verdicts, for its number, type and berth."""
        return self.verdicts[0]

    @property
    def for_nothing(self) -> tuple[Judged, ...]:
        """What it is not worth to do, retirement being proposed."""
        proposed = any(one.rule == "retire" and one.verdict == "due" for one in self.verdicts)
        return tuple(one for one in self.verdicts if one.rule in _IF_KEPT and one.verdict != "ok") if proposed else ()


def by_cask(shown: Sequence[Judged]) -> list[DueCask]:
    """The verdicts of each cask together, casks in the order in which they first come."""
    found: dict[tuple[str, ...], list[Judged]] = {}
    for verdict in shown:
        found.setdefault((*ledger_of(verdict).values(), verdict.cask), []).append(verdict)
    return [DueCask(tuple(verdicts)) for verdicts in found.values()]


def by_cask_json(casks: Sequence[DueCask], form: str = "json", *, settings_unread: Unread = False) -> str:
    """A list with one object a cask, or one a line: `ledger` of several, `cask`, `type`, `berth`, and its `verdicts` as `due` has them, each with `for_nothing`: whether it
    is not worth to do, retirement being proposed."""
    rows = []
    for one in casks:
        of_cask = (*ledger_of(one.cask), "cask", "type", "berth")
        told = as_dict(one.cask)
        verdicts = [
            {
                **{key: value for key, value in as_dict(verdict).items() if key not in of_cask},
                "settings_unread": unread_of(settings_unread, verdict),
                "for_nothing": verdict in one.for_nothing,
            }
            for verdict in one.verdicts
        ]
        rows.append({**{key: told[key] for key in of_cask}, "verdicts": verdicts})
    return data_json(rows, form)


def by_cask_text(casks: Sequence[DueCask], header: str, *, width: int | None, top: int) -> str:
    """One block a cask; `width` None wraps nothing."""
    rows = list(casks[:top])
    lines = head_lines(header, width, empty=not rows)
    number = len(str(len(rows)))
    for n, one in enumerate(rows, 1):
        first = one.cask
        ledger = "".join(f"{name}  " for name in ledger_of(first).values())
        lines.append(f"{n:>{number}}  {ledger}{first.cask}  {first.type or '?'}  {safe(short_berth(first.berth or '', 24))}".rstrip())
        for verdict in one.verdicts:
            if verdict not in one.for_nothing:
                lines += row_lines(f"{'':{number}}  {word_of(verdict, show_verdict=verdict.verdict != 'due')}", verdict, width)
        if one.for_nothing:
            words = ", ".join(word_of(verdict, show_verdict=verdict.verdict != "due") for verdict in one.for_nothing)
            lines.append(f"{'':{number}}  for nothing if it is retired: {words}")
    hidden = len(casks) - len(rows)
    return "\n".join([*lines, *(["", f"… {hidden} more cask{'s' * (hidden > 1)}: add --top {len(casks)}"] if hidden else [])])
