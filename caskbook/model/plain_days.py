"""Days by their text as files write them, each made once: a book has few days and many entries."""

from __future__ import annotations

import re
from datetime import date

_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MOST_DAYS = 10_000


class _Days(dict[str, date]):
    """Days by their text; KeyError for what is no plain day."""

    def __missing__(self, text: str) -> date:
        if _ISO_DAY.fullmatch(text) is None:
            raise KeyError(text)
        if len(self) >= _MOST_DAYS:
            self.clear()
        day = self[text] = date.fromisoformat(text)
        return day


days = _Days()
