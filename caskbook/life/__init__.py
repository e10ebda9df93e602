"""The life of one cask on a day: its standing events folded, in the order of the work, into what it is and has been."""

from caskbook.life.fold import Life, live, live_with
from caskbook.model.standing import Corrections, corrections

__all__ = ["Corrections", "Life", "corrections", "live", "live_with"]
