"""The trade's vocabulary: canonical words, what is also understood for them, and the words that must be asked about.

Each name is loaded when it is first asked for: a light command wants one or two of them.
"""

from typing import TYPE_CHECKING

from caskbook.core.lazy import lazy_names

if TYPE_CHECKING:
    from caskbook.words.cask import CASK_TYPES as CASK_TYPES
    from caskbook.words.cask import CaskType as CaskType
    from caskbook.words.faults import LEAK_WORDS as LEAK_WORDS
    from caskbook.words.faults import NOT_WINE as NOT_WINE
    from caskbook.words.faults import WINE_WORDS as WINE_WORDS
    from caskbook.words.jobs import JOBS as JOBS
    from caskbook.words.jobs import TYPED_ONLY as TYPED_ONLY
    from caskbook.words.lookup import DEFECTS as DEFECTS
    from caskbook.words.lookup import FILL_WORDS as FILL_WORDS
    from caskbook.words.lookup import KINDS as KINDS
    from caskbook.words.lookup import NOSE_FAULTS as NOSE_FAULTS
    from caskbook.words.lookup import PARTS as PARTS
    from caskbook.words.lookup import WOODS as WOODS
    from caskbook.words.lookup import canonical as canonical
    from caskbook.words.lookup import is_known as is_known
    from caskbook.words.lookup import is_wine as is_wine
    from caskbook.words.lookup import kind_named as kind_named
    from caskbook.words.lookup import leak_rank as leak_rank
    from caskbook.words.lookup import note_on as note_on
    from caskbook.words.lookup import questions as questions
    from caskbook.words.lookup import synonyms as synonyms
    from caskbook.words.spelling import AmbiguousWord as AmbiguousWord
    from caskbook.words.spelling import Ask as Ask
    from caskbook.words.spelling import Kind as Kind
    from caskbook.words.spelling import UnknownWord as UnknownWord
    from caskbook.words.spelling import fold as fold
    from caskbook.words.spelling import quoted as quoted

__getattr__ = lazy_names(__name__, {
    "cask": ("CASK_TYPES", "CaskType"),
    "faults": ("LEAK_WORDS", "NOT_WINE", "WINE_WORDS"),
    "jobs": ("JOBS", "TYPED_ONLY"),
    "lookup": ("DEFECTS", "FILL_WORDS", "KINDS", "NOSE_FAULTS", "PARTS", "WOODS", "canonical", "is_known", "is_wine", "kind_named", "leak_rank",
               "note_on", "questions", "synonyms"),
    "spelling": ("AmbiguousWord", "Ask", "Kind", "UnknownWord", "fold", "quoted"),
})  # fmt: skip
