"""A cask file as the pieces its text is made of: the lines of each head key and of each event, with their comments."""

from caskbook.layout.parts import (
    IN_BRACKETS,
    Layout,
    Lines,
    NotPlainError,
    Part,
    UnreadableError,
    cut,
    indented,
    is_remark,
    split_remarks,
)
from caskbook.layout.whole import read_layout

__all__ = ["IN_BRACKETS", "Layout", "Lines", "NotPlainError", "Part", "UnreadableError", "cut", "indented", "is_remark", "read_layout", "split_remarks"]
