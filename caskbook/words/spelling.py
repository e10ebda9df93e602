"""How a typed word is compared with the trade's words, and what is said when it is unknown or means several things."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

# These turn British into American spelling, as whole runs of letters: the folded form is compared only, never shown or stored.
_SPELLINGS = (
    ("mould", "mold"),
    ("colour", "color"),
    ("odour", "odor"),
    ("vapour", "vapor"),
    ("litre", "liter"),
    ("centre", "center"),
    ("metre", "meter"),
    ("sulph", "sulf"),
    ("grey", "gray"),
    ("gauge", "gage"),
)
_PLURAL_ES = ("shes", "ches", "sses", "xes")
_KEPT_S = ("ss", "us", "is", "os")
_SHORT = 3
_STOP = re.compile(r"(?<=[^\W\d_])\.(?!\.)")
"""Of `am. oak`; three of them are a doubt."""
_APOSTROPHES = "'’ʼ`´"
_CLOSE = 0.78
_TOLD_WHOLE = 12


def _singular(word: str) -> str:
    if len(word) <= _SHORT or not word.endswith("s") or word.endswith(_KEPT_S):
        return word
    if word.endswith(_PLURAL_ES):
        return word[:-2]
    if word.endswith("ies"):
        return word[:-3] + "y"
    return word[:-1]


def _passed_over(sign: str) -> bool:
    """Whether a sign makes no other word: an accent, a blank, a hyphen, an apostrophe."""
    return sign in _APOSTROPHES or unicodedata.category(sign)[0] in "MZ" or unicodedata.category(sign) in ("Pd", "Pc") or sign.isspace()


def fold(text: str) -> str:
    """The form in which two spellings of a word are alike: no case, accents, hyphens, apostrophes, full stop of a short form, spaces, plural or
    British/American difference. Every other sign makes another word: `malt?` is a doubt, and no malt. For comparing only."""
    plain = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold()).replace("+", "plus")
    letters = "".join(sign for sign in _STOP.sub("", plain) if not _passed_over(sign))
    for british, american in _SPELLINGS:
        letters = letters.replace(british, american)
    return _singular(letters)


def quoted(text: str) -> str:
    """The text in quotes on one line, cut at 30 characters, signs that do not print shown as `?`."""
    shown = "".join(sign if sign.isprintable() else "?" for sign in text)
    return f"'{shown[:29]}…'" if len(shown) > 30 else f"'{shown}'"


class UnknownWord(ValueError):  # noqa: N818 - named for what it is, as the callers read it
    """A word the trade's list does not hold. `nearest` is the canonical word it resembles closely, or None; `words` the list,
    where it is short enough to be told."""

    def __init__(self, label: str, word: str, nearest: str | None, words: tuple[str, ...] = ()) -> None:
        self.word = word
        self.nearest = nearest
        self.words = words if len(words) <= _TOLD_WHOLE else ()
        super().__init__(f"{quoted(word)} is no {label}" + (f": did you mean {nearest}?" if nearest else ""))


class AmbiguousWord(ValueError):  # noqa: N818 - as above
    """A word that means several things. `question` asks in the craft's words; `choices` are the words to choose from."""

    def __init__(self, word: str, question: str, choices: tuple[str, ...]) -> None:
        self.word = word
        self.question = question
        self.choices = choices
        super().__init__(f"{quoted(word)}: {question}" + (f" ({', '.join(choices)})" if choices else ""))


@dataclass(frozen=True, slots=True)
class Ask:
    """What to ask when a word means several things: one line, and the words that settle it."""

    question: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Kind:
    """One list of words: its name in messages, the canonical words, their synonyms, the words to ask about, and a note
    for a canonical word that has a second meaning elsewhere."""

    label: str
    words: tuple[str, ...]
    synonyms: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    asks: Mapping[str, Ask] = field(default_factory=dict)
    notes: Mapping[str, str] = field(default_factory=dict)

    def spellings(self) -> dict[str, str]:
        """Folded spelling → canonical word; a canonical word wins over a synonym spelled like it."""
        table = {fold(also): word for word, others in self.synonyms.items() for also in others}
        return table | {fold(word): word for word in self.words}


def nearest_word(text: str, spellings: Mapping[str, str]) -> str | None:
    """The canonical word whose spelling is close to the text, or None; long input is never compared."""
    folded = fold(text)
    if not 3 <= len(folded) <= 40:
        return None
    import difflib  # It is slow to load, and wanted only for a word that is not known.

    close = difflib.get_close_matches(folded, spellings, n=1, cutoff=_CLOSE)
    return spellings[close[0]] if close else None


def did_you_mean(text: str, words: Iterable[str]) -> str:
    """ "; did you mean ready?", or nothing where none of the words is near."""
    import difflib  # As above.

    close = difflib.get_close_matches(text.casefold()[:40], list(words), 1, 0.7)
    return f"; did you mean {close[0]}?" if close else ""


def name_words(text: str) -> list[str]:
    """The single words of a compound: `pedro-ximenez` → pedro, ximenez."""
    return [word for word in re.split(r"[\s_\-]+", text) if word]


def with_extra(kind: Kind, extra: Iterable[str]) -> Kind:
    """The kind with a house's own words added to the canonical ones."""
    known = kind.spellings()
    added = tuple(word for word in extra if fold(word) and fold(word) not in known)
    return Kind(kind.label, kind.words + added, kind.synonyms, kind.asks, kind.notes) if added else kind
