"""Repairs: hoops, staves, heads, rush, pegs, the bung, opening and closing, knocking down."""

from typing import TYPE_CHECKING

from caskbook.core.lazy import lazy_names
from caskbook.model.jobs.base import origin as origin

if TYPE_CHECKING:
    from caskbook.model.jobs.repair.heads import Close as Close
    from caskbook.model.jobs.repair.heads import Open as Open
    from caskbook.model.jobs.repair.hoops import Drive as Drive
    from caskbook.model.jobs.repair.hoops import Hoop as Hoop
    from caskbook.model.jobs.repair.stopping import Bung as Bung
    from caskbook.model.jobs.repair.stopping import Flag as Flag
    from caskbook.model.jobs.repair.stopping import Peg as Peg
    from caskbook.model.jobs.repair.wood import Head as Head
    from caskbook.model.jobs.repair.wood import KnockDown as KnockDown
    from caskbook.model.jobs.repair.wood import Piece as Piece
    from caskbook.model.jobs.repair.wood import Source as Source
    from caskbook.model.jobs.repair.wood import Stave as Stave
    from caskbook.model.jobs.repair.wood import SwapHeads as SwapHeads

__getattr__ = lazy_names(__name__, {
    "hoops": ("Drive", "Hoop"),
    "stopping": ("Flag", "Peg", "Bung"),
    "wood": ("Piece", "Source", "Stave", "Head", "KnockDown", "SwapHeads"),
    "heads": ("Open", "Close"),
})  # fmt: skip
