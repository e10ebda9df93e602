"""What stands on the page of one cask: the words of the bench card, its pictures, and every entry."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from caskbook.life import Life
from caskbook.life.facts import Facts
from caskbook.loss import PeerTable
from caskbook.model.head_corrections import was_words
from caskbook.pages.heads import heads_picture
from caskbook.pages.site import drawn
from caskbook.pages.years import years_picture
from caskbook.render import card
from caskbook.render.cask_map import LEGEND
from caskbook.render.events import Codes, rows_of, short_of
from caskbook.render.verdict import Verdict


def cask_page(life: Life, facts: Facts, verdicts: Iterable[Verdict], peers: PeerTable | None, remark: str, found: Codes) -> dict[str, Any]:
    """The words and pictures of the template `cask.html`: strings, lists of strings, pictures as SVG (empty where there is nothing to draw).

    `remark`: what is wrong with the file, a line each; `found`: id of an entry → codes of what the check finds wrong with it.
    """
    rows, short = rows_of(life, found), short_of(life)
    return {
        "cask": life.cask.id,
        "state": card.state_words(life, facts),
        "what": card.what_words(life, facts),
        "remark": [line for line in remark.split("\n") if line],
        "corrected": list(was_words(life.cask.corrected)),
        "origin": card.origin_parts(life, facts),
        "place": card.place_parts(life, facts) if life.begun else [],
        "counters": card.counter_rows(life, facts, verdicts, peers) if life.begun else [],
        "years": drawn(years_picture(life)),
        "heads": drawn(heads_picture(life)) if life.begun else "",
        "legend": LEGEND.split("   "),
        "entries": [
            {
                "day": str(row.event.date), "job": row.event.job, "says": row.says + row.tail, "below": row.below, "by": row.event.by or "",
                "id": short[row.event.id], "struck": row.struck,
            }
            for row in rows
        ],
    }  # fmt: skip
