"""Texts that stand in docstrings: what `explain`, the schemas and the help of jobs are made of."""

from __future__ import annotations

import sys

from caskbook.core.finding import CaskbookError


def need_texts() -> None:
    """CaskbookError where Python was started without docstrings: what is made of them would be empty, and a code one that is not known."""
    if are_gone():
        raise CaskbookError("Python was started without the texts that this is made of (PYTHONOPTIMIZE=2, -OO); set it to 1 or 0")


def are_gone() -> bool:
    """Whether Python was started without docstrings."""
    return sys.flags.optimize > 1
