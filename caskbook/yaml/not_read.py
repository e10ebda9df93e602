"""How much of a file stands where no reader looks: behind a second document, below a key that is given twice, or behind a sign in a comment that ends it for some."""

from __future__ import annotations

import re

from caskbook.words.plural import number_of
from caskbook.yaml.source import Source

_LINE_END_OF_SOME = re.compile("[\x85\u2028\u2029]|\r(?=.)")
_COMMENT = re.compile(r"(?:^|[ \t])#")


def not_read(source: Source, line: int, *, below_key: bool = False) -> str:
    """ "3 lines", of those from this line on that say something (`---` says nothing); `below_key`: of those below it that belong to its key. "" for none."""
    told = 0
    for number in range(line + below_key, source.line_count + 1):
        text = source.line(number)
        if below_key and text[:1] not in ("", " ", "-", "#"):
            break
        told += bool(text.removeprefix("---").split("#")[0].strip())
    return number_of(told, "line") if told else ""


def unread_from(source: Source, start: int, *, below_key: bool = False) -> str:
    """ "; not read: 3 lines", of what `not_read` counts from the line of an offset on; "" for none, and of a key that does not stand at the margin."""
    line, column = source.position(start)
    lines = "" if below_key and column > 1 else not_read(source, line, below_key=below_key)
    return f"; not read: {lines}" if lines else ""


def behind_a_comment(text: str) -> bool:
    """Whether more than a comment stands behind a sign in a comment that only some readers of YAML take for a line's end: they read it as an entry."""
    for line in text.split("\n"):
        commented = False
        for part in _LINE_END_OF_SOME.split(line):
            if commented and part.strip() and not part.lstrip().startswith("#"):
                return True
            commented = commented or _COMMENT.search(part) is not None
    return False
