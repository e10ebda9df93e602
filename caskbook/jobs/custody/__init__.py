"""Where a cask is, who decides about it, how it leaves, and how the book is put right."""

from typing import TYPE_CHECKING

from caskbook.by_need import by_need

if TYPE_CHECKING:
    from caskbook.jobs.custody.absence import Found as Found
    from caskbook.jobs.custody.absence import Missing as Missing
    from caskbook.jobs.custody.book import Moved as Moved
    from caskbook.jobs.custody.book import SameAs as SameAs
    from caskbook.jobs.custody.book import Void as Void
    from caskbook.jobs.custody.deciding import Decide as Decide
    from caskbook.jobs.custody.deciding import DueName as DueName
    from caskbook.jobs.custody.ending import BreakUp as BreakUp
    from caskbook.jobs.custody.ending import Dispose as Dispose
    from caskbook.jobs.custody.ending import Retire as Retire
    from caskbook.jobs.custody.head import Correct as Correct
    from caskbook.jobs.custody.holding import Hold as Hold
    from caskbook.jobs.custody.holding import Mark as Mark
    from caskbook.jobs.custody.holding import Release as Release
    from caskbook.jobs.custody.moving import Move as Move
    from caskbook.jobs.custody.moving import Return as Return
    from caskbook.jobs.custody.moving import Send as Send
    from caskbook.jobs.custody.notes import Note as Note

__getattr__ = by_need(__name__, {
    "moving": ("Move", "Send", "Return"),
    "absence": ("Missing", "Found"),
    "holding": ("Hold", "Release", "Mark"),
    "deciding": ("DueName", "Decide"),
    "ending": ("Retire", "BreakUp", "Dispose"),
    "book": ("Moved", "SameAs", "Void"),
    "head": ("Correct",),
    "notes": ("Note",),
})  # fmt: skip
