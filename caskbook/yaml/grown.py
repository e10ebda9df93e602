"""A file that only grew: all of its earlier text as it was, byte for byte, and whole items of its last list behind it."""

from __future__ import annotations

from caskbook.yaml.fast import printable
from caskbook.yaml.fast_values import DoubtError
from caskbook.yaml.source import MAX_BYTES


def grown(old: bytes, new: bytes, first: str) -> list[str] | None:
    """The items that `new` has behind all of `old`, each as `fast_items` gives its text; None where anything else is otherwise, or where remarks or
    blank lines leave a doubt to which item they belong.

    `old` is a file that `fast_items` takes apart, with `first` as the key that begins an item. Whether each item is plain, `fast_item` says.
    """
    mark = f"  - {first}: "
    if not new.startswith(old) or len(new) > MAX_BYTES or not new.startswith(mark.encode(), len(old)):
        return None
    if not old.endswith(b"\n") or _is_remark(old[old.rfind(b"\n", 0, -1) + 1 : -1].decode("utf-8", "replace")):
        return None
    try:
        more = printable(new[len(old) :])
    except DoubtError:
        return None
    if not more.endswith("\n") or any(map(_is_remark, more[:-1].split("\n"))):
        return None
    return more[len(mark) : -1].split(f"\n{mark}")


def _is_remark(line: str) -> bool:
    bare = line.lstrip(" ")
    return not bare or bare[0] == "#"
