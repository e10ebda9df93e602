"""Counts that are known to be at least so many: those of a cask built here from others are the highest parent's."""

from __future__ import annotations

from caskbook.life.fold import Life


def is_child(life: Life) -> bool:
    """Whether it was built here from other casks: its counts are then the highest parent's, a least figure."""
    return any(event.job == "made-from" for event in life.events)


def since_char_least(life: Life) -> bool:
    """Whether its fills since char, where they are a number, are only a least one: it is a child, and was not charred since."""
    return is_child(life) and life.state.last_char is None


def least_words(count: int, *, at_least: bool) -> str:
    """ "at least 3"; of nothing there is no less."""
    return f"at least {count}" if at_least and count else str(count)
