"""The due list as text, JSON or CSV."""

from __future__ import annotations

import csv
import io
import textwrap
from collections.abc import Sequence
from typing import Any

from caskbook.render.console import safe
from caskbook.render.plain_json import data_json
from caskbook.render.verdict import Judged, Unread, ledger_of, unread_of


def due_json(verdicts: Sequence[Judged], form: str = "json", *, settings_unread: Unread = False) -> str:
    """A list with one object a verdict, or one a line; `settings_unread`: whether settings of the house that cannot be read stand at their defaults."""
    return data_json([{**as_dict(verdict), "settings_unread": unread_of(settings_unread, verdict)} for verdict in verdicts], form)


def as_dict(verdict: Judged) -> dict[str, Any]:
    """A verdict as JSON data, days as ISO text; of several ledgers with `ledger` before all."""
    return {
        **ledger_of(verdict),
        "cask": verdict.cask,
        "type": verdict.type,
        "berth": verdict.berth,
        "rule": verdict.rule,
        "verdict": verdict.verdict,
        "since": verdict.since.isoformat() if verdict.since else None,
        "well_past": verdict.well_past,
        "reasons": list(verdict.reasons),
        "decided": verdict.decided,
    }


def due_csv(verdicts: Sequence[Judged], *, settings_unread: Unread = False) -> str:
    """RFC 4180 rows, one a verdict, reasons joined by semicolons."""
    out = io.StringIO()
    writer = csv.writer(out)
    several = ["ledger"] if not isinstance(settings_unread, bool) else []
    writer.writerow([*several, "cask", "type", "berth", "rule", "verdict", "since", "well_past", "reasons", "decided", "settings_unread"])
    for verdict in verdicts:
        row = as_dict(verdict)
        row["well_past"] = "yes" if verdict.well_past else "no"
        row["reasons"] = "; ".join(verdict.reasons)
        row["settings_unread"] = "yes" if unread_of(settings_unread, verdict) else "no"
        writer.writerow(["" if cell is None else _harmless(str(cell)) for cell in row.values()])
    return out.getvalue()


def _harmless(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return "'" + cell if cell[:1] in ("=", "+", "-", "@", "\t") else cell


def due_text(verdicts: Sequence[Judged], header: str, *, width: int | None, top: int | None, show_verdict: bool) -> str:
    """The ranked list: number, cask, type, berth, rule, and the reasons below; `width` None wraps nothing."""
    rows = list(verdicts[:top] if top else verdicts)
    lines = head_lines(header, width, empty=not rows)
    number = len(str(len(rows)))
    ledgers = max((len(ledger_of(verdict).get("ledger", "")) for verdict in rows), default=0)
    names = max((len(verdict.cask) for verdict in rows), default=0)
    types = max((len(verdict.type or "?") for verdict in rows), default=0)
    berths = min(max((len(verdict.berth or "") for verdict in rows), default=0), 12)
    for n, verdict in enumerate(rows, 1):
        berth = safe(short_berth(verdict.berth or "", berths))
        word = word_of(verdict, show_verdict=show_verdict)
        ledger = f"{ledger_of(verdict).get('ledger', ''):<{ledgers}}  " if ledgers else ""
        left = f"{n:>{number}}  {ledger}{verdict.cask:<{names}}  {verdict.type or '?':<{types}}  {berth:<{berths}}  {word}"
        lines += row_lines(left, verdict, width)
    hidden = len(verdicts) - len(rows)
    if hidden > 0:
        lines += ["", f"… {hidden} more: add --top {len(verdicts)}"]
    return "\n".join(lines)


def head_lines(header: str, width: int | None, *, empty: bool) -> list[str]:
    """The lines above the list, each wrapped to `width` cells; a blank one follows unless the list is `empty`."""
    lines = [header]
    if width is not None:
        lines = [part for line in header.split("\n") for part in textwrap.wrap(line, width, subsequent_indent="  ", break_on_hyphens=False)]
    return lines if empty else [*lines, ""]


def word_of(verdict: Judged, *, show_verdict: bool) -> str:
    """The rule, with its verdict where that is wanted or it is blocked."""
    word = verdict.rule
    if show_verdict or verdict.verdict == "blocked":
        word += f" {verdict.verdict}"
    return word + (" well past" if verdict.well_past else "")


def row_lines(left: str, verdict: Judged, width: int | None) -> list[str]:
    """The lines of one verdict: the cask and since when it is due, then each reason, wrapped to `width` cells."""
    told = [*verdict.reasons, *([verdict.decided] if verdict.decided else [])]
    if verdict.since and verdict.verdict in ("due", "soon"):
        left += f"  since {verdict.since}" if verdict.verdict == "due" else f"  on {verdict.since}"
    lines = [left.rstrip()]
    for reason in told:
        reason = safe(reason)
        if width is None:
            lines.append("      " + reason)
            continue
        lines += textwrap.wrap(reason, width, initial_indent="      ", subsequent_indent="        ", break_long_words=False, break_on_hyphens=False)
    return lines


def short_berth(text: str, room: int) -> str:
    """A berth in no more cells than there is room."""
    return text if len(text) <= room else text[: room - 1] + "…"
