"""What may be typed at the bench, and how a line of it is taken apart."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator, Mapping, Sequence

from caskbook.core.finding import CaskbookError

WORDS: Mapping[str, str] = {
    "shift": "shift ab            who works, for which day: for twelve hours; shift, shift end",
    "same": "same 7008           as the last line, on another cask",
    "undo": "undo                takes back the last line; once more, the one before, of this shift",
    "note": "note 7005 wet head  on that cask, else on the last one; note 7005: 5 mm off",
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


_WORDS_TOO = frozenset(("in", "s", "h", "d", "c", "f"))
"""Short for a unit, and begin a text as well."""


def note_parts(text: str, last: str) -> tuple[list[str], str, list[str]]:
    """(the casks, the text as it stands, the options behind it) of what follows `note`; `last`: the cask of the line before.

    CaskbookError for a figure that may be a cask or a measure.
    """
    casks, rest = _casks_first(text.strip(), last)
    begin = next(_options_begin(rest), len(rest))
    one = words_of(rest)
    if begin < len(rest) and len(one) == 1 and rest[:1] in "\"'":
        return casks, one[0], []
    said = rest[:begin].strip()
    if begin < len(rest) and said[:1] in ('"', "'") and len(words_of(said)) == 1:
        said = words_of(said)[0]
    return casks, said, words_of(rest[begin:])


def _casks_first(rest: str, last: str) -> tuple[list[str], str]:
    """(the casks that a note begins with, what follows them); a colon behind the last one says that no other follows."""
    from caskbook.entry.casks import looks_like_casks

    casks: list[str] = []
    while rest:
        word, *others = rest.split(None, 1)
        rest_then, plain = others[0] if others else "", word.removesuffix(":")
        if _begins_text(plain, casks) or not looks_like_casks(plain):
            break
        if plain.isdecimal() and plain == word and _is_unit(measure := rest_then.partition(" ")[0]):
            raise CaskbookError(f"'{plain} {measure}' may be a cask or a measure: as note {casks[-1] if casks else last[-4:] or 7005}: {plain} {measure}")
        casks.append(plain)
        rest = rest_then
        if plain != word:
            break
    return casks, rest


def _begins_text(word: str, casks: Sequence[str]) -> bool:
    """Whether a word that looks as casks do begins the text of a note: behind one number `except` and the dots leave nothing out."""
    if word.casefold() == "except":
        return not (casks and (".." in "".join(casks[-2:]) or casks[-1].startswith(("@", "file:"))))
    return word == "-" or word.casefold().endswith("next") or (word.isdecimal() and len(word) < 3) or (word == ".." and not casks)


def _is_unit(word: str) -> bool:
    from caskbook.gauging.units.tables import KINDS

    name = word.casefold().rstrip(",.;")
    return name not in _WORDS_TOO and any(name in kind.units for kind in KINDS.values())


def _options_begin(text: str) -> Iterator[int]:
    """Where an option of a note begins in a text, or what is nearly one; other words with dashes are text."""
    from difflib import get_close_matches

    from caskbook.entry.request import RUN_OPTIONS, fields_typed

    if "--" not in text:
        return
    names = {*RUN_OPTIONS, *(name for one in fields_typed("note") for name in one.names)}
    for found in re.finditer(r"(?<!\S)--([^\s=]+)", text):
        name = found[1].replace("-", "_").casefold()
        if name in names or (name.isidentifier() and get_close_matches(name, names, 1, 0.7)):
            yield found.start()
