"""How a cask comes into the book: receive, raise, made-from; and convert, by which its staves become other casks."""

from typing import TYPE_CHECKING

from caskbook.core.lazy import lazy_names

if TYPE_CHECKING:
    from caskbook.model.jobs.arrival.inherited import Inherited as Inherited
    from caskbook.model.jobs.arrival.made import Convert as Convert
    from caskbook.model.jobs.arrival.made import MadeFrom as MadeFrom
    from caskbook.model.jobs.arrival.made import Raise as Raise
    from caskbook.model.jobs.arrival.made import Share as Share
    from caskbook.model.jobs.arrival.receive import FoundDefect as FoundDefect
    from caskbook.model.jobs.arrival.receive import Receive as Receive

__getattr__ = lazy_names(__name__, {
    "receive": ("FoundDefect", "Receive"),
    "inherited": ("Inherited",),
    "made": ("Share", "Raise", "Convert", "MadeFrom"),
})  # fmt: skip
