"""The due list as Markdown, for mail and notes: a table (GitHub Flavored Markdown, "Tables"), or cask by cask a list."""

from __future__ import annotations

import re
from collections.abc import Sequence

from caskbook.render.console import safe
from caskbook.render.due import word_of
from caskbook.render.due_by_cask import DueCask
from caskbook.render.verdict import Judged, ledger_of

_MEANS_SOMETHING = re.compile(r"[\\`*_{}\[\]<>#|~&!]")


def due_markdown(verdicts: Sequence[Judged], header: str, later: Sequence[str], *, show_verdict: bool) -> str:
    """The head as a paragraph and a row a verdict: cask, type, berth, what is due, since when (for what is soon, on which day), and why."""
    lines = [marked(header)]
    if verdicts:
        more = len(ledger_of(verdicts[0]))
        lines += ["", f"|{' ledger |' * more} cask | type | berth | what | since | why |", "|---" * more + "|---|---|---|---|---|---|"]
    for verdict in verdicts:
        word = word_of(verdict, show_verdict=show_verdict)
        cells = (*ledger_of(verdict).values(), verdict.cask, verdict.type or "?", verdict.berth or "", word, _since(verdict), _why(verdict))
        lines.append(f"| {' | '.join(marked(cell) for cell in cells)} |")
    return "\n".join([*lines, *(["", *map(marked, later)] if later else [])]) + "\n"


def by_cask_markdown(casks: Sequence[DueCask], header: str, later: Sequence[str], *, show_verdict: bool) -> str:
    """The head, then each cask as an item with what is due on it below; what is for nothing if it is retired in one line."""
    lines = [marked(header), ""] if casks else [marked(header)]
    for one in casks:
        where = " · ".join(marked(part) for part in (*ledger_of(one.cask).values(), one.cask.type or "?", one.cask.berth) if part)
        lines.append(f"- **{marked(one.cask.cask)}** {where}")
        for verdict in one.verdicts:
            if verdict not in one.for_nothing:
                told = ", ".join(part for part in (word_of(verdict, show_verdict=show_verdict), _since(verdict)) if part)
                lines.append(f"  - {marked(told)}: {marked(_why(verdict))}")
        if one.for_nothing:
            words = ", ".join(word_of(verdict, show_verdict=show_verdict) for verdict in one.for_nothing)
            lines.append(f"  - {marked(f'for nothing if it is retired: {words}')}")
    return "\n".join([*lines, *(["", *map(marked, later)] if later else [])]) + "\n"


def marked(text: str) -> str:
    """Text in which no sign means anything to a reader of Markdown, nor steers a screen; one line."""
    return _MEANS_SOMETHING.sub(r"\\\g<0>", safe(text).replace("\n", " "))


def _since(verdict: Judged) -> str:
    if verdict.since is None or verdict.verdict not in ("due", "soon"):
        return ""
    return f"since {verdict.since}" if verdict.verdict == "due" else f"on {verdict.since}"


def _why(verdict: Judged) -> str:
    return "; ".join([*verdict.reasons, *([verdict.decided] if verdict.decided else [])])
