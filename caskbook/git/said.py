"""What git said when it refused something, in one line for the user."""

from __future__ import annotations

import re

_MOST_SHOWN = 120
_FETCHES_NONE = re.compile(r"transport '.*' not allowed")


def said(stderr: bytes) -> str:
    """Its first fault, short, with no sign that a terminal would act on."""
    lines = [line.strip() for line in stderr.decode("utf-8", "replace").splitlines() if line.strip()] or ["no reason given"]
    chosen = next((line for line in lines if line.startswith(("fatal:", "error:"))), lines[0])
    if _FETCHES_NONE.search(chosen):
        return "this partial clone lacks what is asked for, and nothing is fetched by the way: git fetch --refetch --no-filter"
    text = re.sub(r"^(?:fatal|error): ", "", chosen)
    return "".join(sign if sign.isprintable() else "?" for sign in text)[:_MOST_SHOWN]
