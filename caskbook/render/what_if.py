"""What settings that are tried would turn, as text, JSON or CSV."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from caskbook.due.turns import Turns
from caskbook.render.console import USUAL_WIDTH, flow
from caskbook.render.loss import table_lines
from caskbook.render.plain_json import data_json
from caskbook.render.table import table_csv
from caskbook.words.plural import number_of

_FIRST = 3
_EXPLAINED = (
    "now and then: what a rule says of a cask under the settings as they are, and under those tried; a cask turns in as many lines as rules "
    "say otherwise of it. Nothing was written: what shall hold from a day on is a row {since, value} of that setting in house.yaml"
)


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The settings tried (key, what it says now, what it would say), of how many casks, and what turns; `narrowed` in words."""

    day: date
    settings: Sequence[tuple[str, str, str]]
    judged: int
    turns: Turns
    narrowed: Sequence[str] = ()


def what_if_text(found: WhatIf, width: int | None) -> str:
    """The counts, and a line for each turn with its first casks; at most 80 cells wide also where nobody looks at it on a screen."""
    wide, turns = width or USUAL_WIDTH, found.turns
    named = [f"{key} {now} → {then}" for key, now, then in found.settings]
    lines = flow([f"if on {found.day}", *named, *found.narrowed, "nothing is written"], wide)
    counts = [
        f"{turns.casks} of {number_of(found.judged, 'cask')} turn" + ("" if turns.casks != 1 else "s"),
        *(
            f"{count} {words}"
            for count, words in (
                (turns.newly, "newly due or blocked"),
                (turns.no_longer, "no longer"),
                (turns.at_emptying, "newly at emptying"),
                (turns.no_longer_at_emptying, "no longer at emptying"),
            )
            if count
        ),
    ]
    lines += flow(counts, wide)
    if turns.turns:
        rows = [[turn.rule, turn.now, turn.then, str(len(casks)), _first(casks)] for turn, casks in turns.in_order()]
        lines += ["", *table_lines(["rule", "now", "then", ">casks", "first"], rows, wide), "", *flow([_EXPLAINED], wide, most_lines=9)]
    return "\n".join(lines)


def _first(casks: Sequence[str]) -> str:
    return ", ".join(casks[:_FIRST]) + (" …" if len(casks) > _FIRST else "")


def what_if_json(found: WhatIf, form: str = "json") -> str:
    """One object, or its turns one a line: `day`, `settings` (key, now, then), `casks` judged, `turned`, the four counts of review, and `turns` with all their casks."""
    turns = found.turns
    data: dict[str, Any] = {
        "day": found.day.isoformat(),
        "settings": [{"key": key, "now": now, "then": then} for key, now, then in found.settings],
        "casks": found.judged,
        "turned": turns.casks,
        "newly_due": turns.newly,
        "no_longer": turns.no_longer,
        "at_emptying": turns.at_emptying,
        "no_longer_at_emptying": turns.no_longer_at_emptying,
        "turns": [{"rule": turn.rule, "now": turn.now, "then": turn.then, "casks": casks} for turn, casks in turns.in_order()],
    }
    return data_json(data, form, data["turns"])


def what_if_csv(found: WhatIf) -> str:
    """One row for each cask and rule that turns."""
    return table_csv(["cask", "rule", "now", "then"], [[cask, turn.rule, turn.now, turn.then] for turn, casks in found.turns.in_order() for cask in casks])
