"""Ids of events in data and in text: who names one, and the same text under another id."""

from __future__ import annotations

import re

_WORD = re.compile(r"[0-9a-z]{8,}")


def refers_to(value: object, event_id: str) -> bool:
    """Whether data names this id anywhere, as `of`, `replaces`, `answers` or in a text."""
    if isinstance(value, dict):
        return any(refers_to(one, event_id) for one in value.values())
    if isinstance(value, list):
        return any(refers_to(one, event_id) for one in value)
    return isinstance(value, str) and event_id in _WORD.findall(value)


def with_new_id(text: str, old: str, new: str) -> str | None:
    """The text with the id of one event exchanged, every other byte as it was; None where that id does not stand there just once."""
    found, count = re.subn(rf"((?:^|[\s{{,])id:\s*[\"']?){re.escape(old)}(?![0-9a-z])", lambda match: match[1] + new, text)
    return found if count == 1 else None
