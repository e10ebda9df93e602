"""A house's pattern of numbers, matched in a time that grows with the number's length and the pattern's alone.

Python's own matching tries one way after another, and some patterns have more ways than any check can wait for. Here all places at which
a part may end are followed at once.
"""

from __future__ import annotations

import re
from functools import lru_cache
from re import _constants, _parser  # type: ignore[attr-defined]
from typing import Any

_MOST_SIGNS = 200
_MOST_TIMES = 24
"""A number has so many signs at most, so that more rounds of a repetition change nothing."""
_PARTS = {"SUBPATTERN": slice(3, 4), "MAX_REPEAT": slice(2, 3), "MIN_REPEAT": slice(2, 3), "ASSERT": slice(1, 2), "ASSERT_NOT": slice(1, 2)}
"""Where the items inside an item stand."""
_CATEGORIES = {
    "CATEGORY_DIGIT": str.isdecimal,
    "CATEGORY_WORD": lambda sign: sign.isalnum() or sign == "_",
    "CATEGORY_SPACE": str.isspace,
}


class IdPattern:
    """A regular expression without backward references or lookbehind. `re.error` where it is none of these."""

    def __init__(self, pattern: str) -> None:
        if len(pattern) > _MOST_SIGNS:
            raise re.error("too long")
        try:
            self.items = _parser.parse(pattern)
            self.known: dict[tuple[int, int], set[int]] = {}
            self.any_case = bool(self.items.state.flags & re.IGNORECASE)
            self._refuse_others(self.items)
        except (OverflowError, RecursionError) as error:
            raise re.error(str(error)) from None

    def _refuse_others(self, items: Any) -> None:
        """re.error for an item that is not read here, wherever it stands."""
        for op, value in items:
            for part in value[_PARTS[str(op)]] if str(op) in _PARTS else value[1] if str(op) == "BRANCH" else ():
                self._refuse_others(part)
            self._after(str(op), value, "", set())

    def fullmatch(self, text: str) -> bool:
        """Whether the pattern takes the whole of a text of at most 24 signs."""
        self.known = {}
        return len(text) in self._ends(self.items, text, {0})

    def _ends(self, items: Any, text: str, at: set[int]) -> set[int]:
        """The offsets at which these items, one behind the other, may end where they may begin at those of `at`."""
        found: set[int] = set()
        for place in at:
            key = (id(items), place)
            if key not in self.known:
                ends = {place}
                for op, value in items:
                    ends = self._after(str(op), value, text, ends)
                self.known[key] = ends
            found |= self.known[key]
        return found

    def _after(self, op: str, value: Any, text: str, at: set[int]) -> set[int]:
        """The same of one item."""
        if op in ("LITERAL", "NOT_LITERAL", "ANY", "IN"):
            return {place + 1 for place in at if place < len(text) and self._takes(op, value, text[place])}
        if op == "BRANCH":
            return set().union(*(self._ends(one, text, at) for one in value[1]))
        if op == "SUBPATTERN" and not value[1] and not value[2]:
            return self._ends(value[3], text, at)
        if op in ("MAX_REPEAT", "MIN_REPEAT"):
            return self._repeated(value, text, at)
        if op in ("ASSERT", "ASSERT_NOT") and value[0] == 1:
            return {place for place in at if bool(self._ends(value[1], text, {place})) is (op == "ASSERT")}
        if op == "AT" and value in (_constants.AT_BEGINNING, _constants.AT_BEGINNING_STRING):
            return at & {0}
        if op == "AT" and value in (_constants.AT_END, _constants.AT_END_STRING):
            return at & {len(text)}
        raise re.error(f"{op.lower()} is not read here")

    def _repeated(self, value: Any, text: str, at: set[int]) -> set[int]:
        least, most, items = value
        for _ in range(min(least, _MOST_TIMES + 1)):
            at = self._ends(items, text, at)
        found, ahead = set(at), at
        for _ in range(min(most, _MOST_TIMES + least) - least):
            ahead = self._ends(items, text, ahead) - found
            found |= ahead
            if not ahead:
                break
        return found

    def _takes(self, op: str, value: Any, sign: str) -> bool:
        cases = {sign, sign.upper(), sign.lower()} if self.any_case else {sign}
        if op == "ANY":
            return sign != "\n"
        if op != "IN":
            return (value in {ord(one) for one in cases if len(one) == 1}) is (op == "LITERAL")
        negated = str(value[0][0]) == "NEGATE"
        return any(_in_class(str(kind), what, one) for kind, what in value[negated:] for one in cases if len(one) == 1) is not negated


def _in_class(kind: str, value: Any, sign: str) -> bool:
    """Whether a sign is of one part of a class in square brackets."""
    if kind == "LITERAL":
        return bool(ord(sign) == value)
    if kind == "RANGE":
        return bool(value[0] <= ord(sign) <= value[1])
    name = str(value)
    known = _CATEGORIES.get(name.replace("_NOT_", "_"))
    if known is None:
        raise re.error(f"{name.lower()} is not read here")
    return bool(known(sign)) is ("_NOT_" not in name)


@lru_cache(maxsize=8)
def house_pattern(pattern: str) -> IdPattern | None:
    """The house's pattern of ids, None where it is no regular expression that is read here."""
    try:
        return IdPattern(pattern)
    except re.error:
        return None
