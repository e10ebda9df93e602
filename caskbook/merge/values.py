"""Whether two values of a file are the same, for a merge."""

from __future__ import annotations


def alike(one: object, other: object) -> bool:
    """Whether two values of a file are the same at every depth: 1, 1.0, true and "1" are four values, whatever list they stand in."""
    todo = [(one, other)]
    while todo:
        left, right = todo.pop()
        if type(left) is not type(right):
            return False
        if isinstance(left, dict) and isinstance(right, dict):
            if {(type(key), key) for key in left} != {(type(key), key) for key in right}:
                return False
            todo += [(value, right[key]) for key, value in left.items()]
        elif isinstance(left, list) and isinstance(right, list):
            if len(left) != len(right):
                return False
            todo += zip(left, right, strict=True)
        elif left != right and not (left != left and right != right):  # NaN is NaN here.
            return False
    return True
