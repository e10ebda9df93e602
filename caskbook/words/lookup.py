"""One door to the trade's lists: a typed word in, the one canonical word out, or an error that says what to type."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from caskbook.words import cask, faults, jobs
from caskbook.words.spelling import (
    AmbiguousWord,
    Kind,
    UnknownWord,
    fold,
    name_words,
    nearest_word,
    with_extra,
)

KINDS: Mapping[str, Kind] = {
    "part": cask.PART,
    "place": cask.PLACE,
    "hoop": cask.HOOP,
    "head_piece": cask.HEAD_PIECE,
    "head": cask.HEAD,
    "type": cask.TYPE,
    "wood": cask.WOOD,
    "fill": cask.FILL,
    "defect": faults.DEFECT,
    "nose_fault": faults.NOSE_FAULT,
    "leak": faults.LEAK,
    "seen": faults.SEEN,
    "wine": faults.WINE,
    "spirit": faults.SPIRIT,
    "job": jobs.JOB,
    "result": jobs.RESULT,
    "cured_by": jobs.CURED_BY,
    "because": jobs.BECAUSE,
    "receive_verdict": jobs.RECEIVE_VERDICT,
    "examine_verdict": jobs.EXAMINE_VERDICT,
    "nose_verdict": jobs.NOSE_VERDICT,
    "stow": jobs.STOW,
    "toast_level": jobs.TOAST_LEVEL,
    "peg_kind": jobs.PEG_KIND,
}

PARTS = KINDS["part"].words
WOODS = KINDS["wood"].words
DEFECTS = KINDS["defect"].words
NOSE_FAULTS = KINDS["nose_fault"].words
FILL_WORDS = KINDS["fill"].words


def kind_named(name: str) -> Kind:
    """The list of that name; a ValueError names the lists there are."""
    if name not in KINDS:
        raise ValueError(f"no list of words is called {name!r}; there are {', '.join(KINDS)}")
    return KINDS[name]


@lru_cache(maxsize=256)
def _spellings(kind: str, extra: tuple[str, ...]) -> dict[str, str]:
    return with_extra(kind_named(kind), extra).spellings()


def canonical(kind: str, text: str, extra: Iterable[str] = ()) -> str:
    """The canonical word of `kind` for a typed one; `extra` are a house's own words, returned as it spells them.

    UnknownWord names the nearest word, only when close; AmbiguousWord carries the question and the choices. A word that is
    canonical, or a synonym, in this kind is never asked about."""
    spellings = _spellings(kind, tuple(extra))
    chosen = KINDS[kind]
    folded = fold(text)
    if folded in spellings:
        return spellings[folded]
    for word, ask in chosen.asks.items():
        if fold(word) == folded:
            raise AmbiguousWord(text, ask.question, ask.choices)
    raise UnknownWord(chosen.label, text, nearest_word(text, spellings), chosen.words)


def is_known(kind: str, text: str, extra: Iterable[str] = ()) -> bool:
    """Whether `canonical` would give a word."""
    try:
        canonical(kind, text, extra)
    except (UnknownWord, AmbiguousWord):
        return False
    return True


def synonyms(kind: str) -> dict[str, tuple[str, ...]]:
    """Canonical word → what is also understood for it, in the order of the list; for help texts."""
    chosen = kind_named(kind)
    return {word: tuple(chosen.synonyms.get(word, ())) for word in chosen.words}


def questions(kind: str) -> dict[str, str]:
    """Word that means several things → the question asked about it; for help texts."""
    return {word: ask.question for word, ask in kind_named(kind).asks.items()}


def note_on(kind: str, word: str) -> str | None:
    """What to say beside a canonical word that has a second meaning elsewhere (hogshead, barrel, season, top …)."""
    return kind_named(kind).notes.get(word)


def leak_rank(word: str) -> int:
    """0 weep, 1 drip, 2 run; UnknownWord for another word."""
    return faults.LEAK_WORDS.index(canonical("leak", word))


def is_wine(contents: str, extra: Iterable[str] = ()) -> bool:
    """Whether what a cask held makes it wine-held: a wine word or one of the house's, alone or as the last of a compound
    (`oloroso sherry`, `tawny port`; `barley wine` is a beer), whatever cask it is said to have lain in (`sherry butt`)."""
    return _is_wine(contents, tuple(extra))


@lru_cache(maxsize=4096)
def spirit_word(text: str, extra: tuple[str, ...] = ()) -> str | None:
    """The canonical word of a spirit in any of its spellings (`whiskey`, `Single Malt`), `extra` being words of the house's own; None of another."""
    for folded in dict.fromkeys((fold(text), fold(" ".join(_without_cask(name_words(text)))))):
        if found := next((word for word in extra if fold(word) == folded), None) or _spellings("spirit", ()).get(folded):
            return found
    return None


def _without_cask(words: Sequence[str]) -> Sequence[str]:
    """`sherry butt`, `bourbon barrel`, `port seasoned`: without the words at the end that say what it lay in."""
    end = len(words)
    while end > 1 and (fold(words[end - 1]) in _CASK_WORDS or is_known("type", words[end - 1])):
        end -= 1
    return words[:end]


_CASK_WORDS = frozenset(map(fold, ("cask", "casks", "seasoned", "wood", "oak", "butt", "pipe", "drum", "hogshead", "barrel")))


def is_never_filled(text: str) -> bool:
    """Whether a word of what a cask held says that it never held anything (`virgin`, `new oak`): common practice, no source."""
    return _spellings("fill", ()).get(fold(text)) == "virgin"


def nearest_liquor(text: str, extra: tuple[str, ...] = (), also: Mapping[str, str] | None = None) -> str | None:
    """The spirit or wine whose spelling is close to the text, or the same with letters swapped; None where none is. `extra`: words of the house's
    own; `also`: folded spelling → word, of what else may stand where it was typed."""
    spellings = {**_spellings("wine", ()), **_spellings("spirit", ()), **{fold(word): word for word in extra}, **(also or {})}
    for said in dict.fromkeys((text, " ".join(_without_cask(name_words(text))))):  # `sherrry butt` too
        swapped = next((word for spelling, word in spellings.items() if sorted(spelling) == sorted(fold(said))), None)
        if near := swapped or nearest_word(said, spellings):
            return near
    return None


# It is asked for every cask of a ledger, about few different words.
@lru_cache(maxsize=4096)
def _is_wine(contents: str, house: tuple[str, ...]) -> bool:
    if is_known("wine", contents, house):
        return True
    beer = fold(contents) in {fold(word) for word in faults.NOT_WINE}
    return not beer and any(is_known("wine", word, house) for word in _without_cask(name_words(contents))[-1:])
