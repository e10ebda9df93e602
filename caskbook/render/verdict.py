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
