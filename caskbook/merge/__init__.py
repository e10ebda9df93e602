"""Three versions of a file of the ledger into one, by event and by key: the same bytes in whatever order machines meet."""

from caskbook.merge.lines import Merged, whole_conflict
from caskbook.merge.whole import merge

__all__ = ["Merged", "merge", "whole_conflict"]
