"""Where a cask is, who decides about it, how it leaves, and how the book is put right."""

from typing import TYPE_CHECKING

from caskbook.core.lazy import lazy_names

if TYPE_CHECKING:
    from caskbook.model.jobs.custody.absence import Found as Found
    from caskbook.model.jobs.custody.absence import Missing as Missing
    from caskbook.model.jobs.custody.book import Moved as Moved
    from caskbook.model.jobs.custody.book import SameAs as SameAs
    from caskbook.model.jobs.custody.book import Void as Void
    from caskbook.model.jobs.custody.deciding import Decide as Decide
    from caskbook.model.jobs.custody.deciding import DueName as DueName
    from caskbook.model.jobs.custody.ending import BreakUp as BreakUp
    from caskbook.model.jobs.custody.ending import Dispose as Dispose
    from caskbook.model.jobs.custody.ending import Retire as Retire
    from caskbook.model.jobs.custody.head import Correct as Correct
    from caskbook.model.jobs.custody.holding import Hold as Hold
    from caskbook.model.jobs.custody.holding import Mark as Mark
    from caskbook.model.jobs.custody.holding import Release as Release
    from caskbook.model.jobs.custody.moving import Move as Move
    from caskbook.model.jobs.custody.moving import Return as Return
    from caskbook.model.jobs.custody.moving import Send as Send
    from caskbook.model.jobs.custody.notes import Note as Note

__getattr__ = lazy_names(__name__, {
    "moving": ("Move", "Send", "Return"),
    "absence": ("Missing", "Found"),
    "holding": ("Hold", "Release", "Mark"),
    "deciding": ("DueName", "Decide"),
    "ending": ("Retire", "BreakUp", "Dispose"),
    "book": ("Moved", "SameAs", "Void"),
    "head": ("Correct",),
    "notes": ("Note",),
})  # fmt: skip
