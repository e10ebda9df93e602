"""What may be typed at the bench, and how a line of it is taken apart."""

from __future__ import annotations

import shlex
from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "shift": "shift ab            who works, for which day: for twelve hours; shift, shift end",
    "same": "same 7008           as the last line, on another cask",
    "undo": "undo                takes back the last line; once more, the one before, of this shift",
    "note": "note 7005 wet head  a note on that cask; without a number on the last one",
    "show": "show 7005           its card; also due, list, explain with what follows",
    "help": "help                this; help test: the fields of a job",
    "end": "end                 says what was done, and ends (also Ctrl-D)",
}
ENDS = ("end", "quit", "exit", "q", "bye")
SHOWN = ("show", "due", "list", "explain")
HELP = (
    "JOB CASK … words    test 7005 p, flag 7005 j3, fill 7006 --litres 200; the job stays for the next:\n"
    "  7006 f j3           failed at joint 3\n"
    "  7007 c joint-4      leaked there, driven, passed\n"
    "  7008                what is lacking is asked for; of a test with one key\n  "
) + "\n  ".join(WORDS.values())


def words_of(line: str) -> list[str]:
    """The words of a line as a shell would take them; where a quote is left open, as in o'clock, by blanks."""
    try:
        return shlex.split(line)
    except ValueError:
        return line.split()


def is_job(word: str) -> bool:
    """Whether a word, or each of several joined by +, is a job of the trade, or asked about as one."""
    from caskbook.words import AmbiguousWord, UnknownWord, canonical

    for part in word.split("+"):
        try:
            canonical("job", part)
        except AmbiguousWord:
            continue
        except UnknownWord:
            return False
    return True


def is_cask(word: str) -> bool:
    """Whether a word can name casks: it has a figure, or is one of the notations."""
    from caskbook.entry.casks import is_named

    return any(sign.isdigit() for sign in word) or is_named(word)


def no_word(word: str) -> str:
    """What is said of a word that is no job, no cask and none of the bench's own."""
    from difflib import get_close_matches

    from caskbook.entry.request import all_jobs

    near = get_close_matches(word.casefold()[:40], [*WORDS, *all_jobs()], 1, 0.6)
    shown = "".join(sign if sign.isprintable() else "?" for sign in word[:30])
    return f"'{shown}' is no job, no cask and no word of the bench" + (f": did you mean {near[0]}?" if near else "; help lists them")
