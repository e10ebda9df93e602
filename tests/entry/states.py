"""Casks in each state a job may find them in, as events."""

from __future__ import annotations

from typing import Any

from entry.shop import days_ago

Events = list[dict[str, Any]]


def _came() -> Events:
    return [{"date": days_ago(40), "job": "receive", "verdict": "accept"}, {"date": days_ago(20), "job": "examine", "verdict": "sound"}]


def _and(*events: dict[str, Any]) -> Events:
    return [*_came(), *({"date": days_ago(10), **event} for event in events)]


_FILL = {"job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 14}
STATES: dict[str, Events | None] = {
    "new": None,
    "ready": _came(),
    "open": _and({"job": "open", "heads": ["A", "B"]}),
    "shook": _and({"job": "knock-down", "staves": 31}),
    "filled": _and(_FILL),
    "leaking": _and(_FILL, {"job": "leak", "at": "joint-3", "severity": "weep"}),
    "wine": _and({"job": "season", "wine": "oloroso", "litres": 190}),
    "away": _and({"job": "send", "to": "shop-north", "why": "re-char"}),
    "missing": _and({"job": "missing"}),
    "gone": _and({"job": "dispose", "how": "sold"}),
    "held": _and({"job": "hold", "why": "label in doubt"}),
    "retired": _and({"job": "retire", "reasons": ["thin"], "approved_by": "kd"}),
}
