"""The trade's vocabulary: canonical words, what is also understood for them, and the words that must be asked about."""

from caskbook.words.cask import CASK_TYPES, CaskType
from caskbook.words.faults import LEAK_WORDS, NOT_WINE, WINE_WORDS
from caskbook.words.jobs import JOBS, TYPED_ONLY
from caskbook.words.lookup import (
    KINDS,
    canonical,
    is_known,
    is_wine,
    kind_named,
    leak_rank,
    note_on,
    questions,
    synonyms,
)
from caskbook.words.spelling import AmbiguousWord, Ask, Kind, UnknownWord, fold, quoted

PARTS = KINDS["part"].words
WOODS = KINDS["wood"].words
DEFECTS = KINDS["defect"].words
NOSE_FAULTS = KINDS["nose_fault"].words
FILL_WORDS = KINDS["fill"].words

__all__ = [
    "CASK_TYPES",
    "DEFECTS",
    "FILL_WORDS",
    "JOBS",
    "KINDS",
    "LEAK_WORDS",
    "NOSE_FAULTS",
    "NOT_WINE",
    "PARTS",
    "TYPED_ONLY",
    "WINE_WORDS",
    "WOODS",
    "AmbiguousWord",
    "Ask",
    "CaskType",
    "Kind",
    "UnknownWord",
    "canonical",
    "fold",
    "is_known",
    "is_wine",
    "kind_named",
    "leak_rank",
    "note_on",
    "questions",
    "quoted",
    "synonyms",
]
