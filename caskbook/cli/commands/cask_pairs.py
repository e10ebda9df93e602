"""The map of `move-event --map`: which wrong cask stands for which right one, on the command line or in a file."""

from __future__ import annotations

import re
from pathlib import Path

from caskbook.cli.common import Book, say
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

_MOST_BYTES = 1_000_000
_BETWEEN = re.compile(r"\s*(?:=|->|→|,|;|\t)\s*|\s+")


def read_pairs(book: Book, text: str) -> dict[str, str]:
    """Wrong cask → right cask, in full numbers, casks mapped to themselves left out. `text`: pairs as `7005=7006,7006=7005`, ranges too,
    or the path of a file with a pair a line. CaskbookError where one cannot be read; each is told before."""
    inline = "=" in text and not Path(text).is_file()
    where = "--map" if inline else text
    lines = re.split(r"[,;\n]", text) if inline else _lines_of(text)
    found: dict[str, str] = {}
    faults = []
    for number, line in enumerate(lines, 1):
        bare = line.partition("#")[0].strip()
        if not bare or (number == 1 and not inline and not any(sign.isdigit() for sign in bare)):
            continue
        try:
            for wrong, right in _pairs(book, bare):
                if found.setdefault(wrong, right) != right:
                    raise CaskbookError(f"{wrong} is mapped to {found[wrong]} already")
        except CaskbookError as error:
            faults.append(f"{where}: {_shown(bare)}: {error}" if inline else f"{where}:{number}: {error}")
    for fault in faults:
        say(fault)
    if faults:
        raise CaskbookError(f"{number_of(len(faults), 'pair')} of the map cannot be read; nothing written")
    if not found:
        raise CaskbookError(f"{where}: no pair of casks; as 7005=7006, or a pair a line in a file")
    return {wrong: right for wrong, right in found.items() if wrong != right}


def _pairs(book: Book, text: str) -> list[tuple[str, str]]:
    """The pairs of one piece: two casks, or two ranges of as many."""
    from caskbook.cli.numbers import named

    parts = [part for part in _BETWEEN.split(text) if part]
    if len(parts) != 2:
        raise CaskbookError(f"'{_shown(text)}' is no pair: the wrong cask, then the right one, as 7005=7006")
    wrong, right = (named(book, [part]) for part in parts)
    if len(wrong) != len(right):
        raise CaskbookError(f"{parts[0]} names {number_of(len(wrong), 'cask')}, {parts[1]} names {len(right)}")
    return list(zip(wrong, right, strict=True))


def _lines_of(path: str) -> list[str]:
    """The lines of a map's file. CaskbookError where it cannot be read, or is no such thing."""
    try:
        with Path(path).open("rb") as file:
            data = file.read(_MOST_BYTES + 1)
    except OSError as error:
        hint = "; pairs on the command line are written with =, as 7005=7006" if not Path(path).suffix else ""
        raise CaskbookError(f"{path}: {(error.strerror or str(error)).lower()}{hint}") from None
    if len(data) > _MOST_BYTES:
        raise CaskbookError(f"{path}: more than a million bytes: no map of casks")
    try:
        return data.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise CaskbookError(f"{path}: not UTF-8") from None


def _shown(text: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in text[:30])
