"""A cask file as the pieces its text is made of: the lines of each head key and of each event, with their comments."""

from caskbook.yaml.segments.any_layout import read_layout
from caskbook.yaml.segments.by_lines import (
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

__all__ = ["Layout", "Lines", "NotPlainError", "Part", "UnreadableError", "cut", "indented", "is_remark", "read_layout", "split_remarks"]
