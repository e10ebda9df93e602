"""Libraries that only some commands need, and only whoever uses these has to have: loaded where they are used."""

from __future__ import annotations

import importlib
from functools import cache
from typing import Any

from caskbook.core.finding import CaskbookError


@cache
def library(name: str, extra: str = "print", need: str = "printing") -> Any:
    """A module that comes with an `extra` of this package. CaskbookError where it is not there: what needs it, and what to install."""
    try:
        return importlib.import_module(name)
    except ImportError:
        whole = name.partition(".")[0]
        raise CaskbookError(f"{whole} is not installed, and {need} needs it: pip install 'caskbook[{extra}]', in a checkout '.[{extra}]'") from None
