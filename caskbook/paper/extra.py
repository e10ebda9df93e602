"""The libraries that draw, which only whoever prints has to have: loaded when something is drawn."""

from __future__ import annotations

import importlib
from functools import cache
from typing import Any

from caskbook.core.finding import CaskbookError


@cache
def library(name: str) -> Any:
    """A module of the extra `print`. CaskbookError with what to install where it is not there."""
    try:
        return importlib.import_module(name)
    except ImportError:
        whole = name.partition(".")[0]
        raise CaskbookError(f"{whole} is not installed, and printing needs it: pip install 'caskbook[print]', in a checkout '.[print]'") from None
