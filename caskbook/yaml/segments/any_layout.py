"""The layout of any cask file: by its lines where they settle it, by a full reading where they do not."""

from __future__ import annotations

from caskbook.yaml.segments.by_lines import Layout, NotPlainError, cut


def read_layout(text: str) -> tuple[Layout, bool]:
    """The layout of a text, and whether its lines alone gave it. UnreadableError where it cannot be taken apart."""
    try:
        return cut(text), True
    except NotPlainError:
        from caskbook.yaml.segments.by_reading import cut_in_full  # It is rarely needed, and long to load.

        return cut_in_full(text), False
