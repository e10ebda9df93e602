"""What the pictures need of a verdict, whether it was judged just now or comes out of the index."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any, Protocol


class Verdict(Protocol):
    """What a due rule says of a cask; `verdict` is due, soon, at-emptying, blocked, unknown or ok."""

    @property
    def rule(self) -> str: ...
    @property
    def verdict(self) -> str: ...
    @property
    def since(self) -> date | None: ...
    @property
    def well_past(self) -> bool: ...
    @property
    def reasons(self) -> Sequence[str]: ...
    @property
    def decided(self) -> Any: ...


class Judged(Verdict, Protocol):
    """A verdict with the cask it is about."""

    @property
    def cask(self) -> str: ...
    @property
    def type(self) -> str: ...
    @property
    def berth(self) -> str | None: ...


Unread = bool | frozenset[str]
"""Whether settings of the house that cannot be read stand at their defaults; of several ledgers asked at once, of which of them."""


def ledger_of(verdict: Judged) -> dict[str, str]:
    """`ledger` → its name, where several ledgers are asked at once; else nothing."""
    ledger = getattr(verdict, "ledger", "")
    return {"ledger": ledger} if ledger else {}


def unread_of(unread: Unread, verdict: Judged) -> bool:
    """Whether the settings by which a verdict was judged could not be read whole."""
    return unread if isinstance(unread, bool) else ledger_of(verdict).get("ledger") in unread
