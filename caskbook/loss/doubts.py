"""Which fills have no loss that can be added to others, and why."""

from __future__ import annotations

from caskbook.loss.fills import FillLoss
from caskbook.loss.intervals import GAIN, NO_FIGURE
from caskbook.loss.phrases import doubted_gauges
from caskbook.loss.verdicts import LossVerdict

CONTRADICTION = "gauges in contradiction"
GAINED = "gain beyond error"
NO_FIGURES = "no figure"
UNREAD = "entries that cannot be read"
MISREAD = "gauge likely misread"
"""By what its peers lose as well: `doubt_of` cannot tell it, `doubt_with` does."""


def doubt_of(loss: FillLoss) -> tuple[str, str] | None:
    """(the kind of doubt, what is to be said of it) of a fill whose figure is in no sum; None for one that can be added, and for one
    that was not gauged again, of which nothing is known."""
    whole = loss.whole
    if loss.record.unread:
        return UNREAD, ", ".join(loss.record.unread)
    if loss.doubtful:
        return CONTRADICTION, "; ".join(doubted_gauges(loss)) or "which is wrong cannot be told"
    if whole is not None and GAIN in whole.flags:
        return GAINED, f"{whole.first.lpa or 0:.1f} L of alcohol {whole.first.day}, {whole.last.lpa or 0:.1f} L {whole.last.day}"
    if whole is not None and NO_FIGURE in whole.flags:  # so it is where any gauge or move of it has none
        lacking = [f"{move.job} {move.day}" for move in whole.moves if move.counted is None]
        return NO_FIGURES, f"not known how much or how strong: {', '.join(lacking)}" if lacking else "nothing was there at the first gauge"
    if whole is None and len(loss.record.gauges) > 1:
        lacking = [f"{gauge.job} {gauge.day}: {gauge.notes[-1]}" for gauge in loss.record.gauges if gauge.lpa is None and gauge.notes]
        return NO_FIGURES, "; ".join(lacking) or "its gauges have none"
    return None


def doubt_with(loss: FillLoss, verdict: LossVerdict | None) -> tuple[str, str] | None:
    """The same, by the verdict on the fill as well, where its peers are known."""
    misread = None if verdict is None else verdict.doubt
    return doubt_of(loss) or (None if misread is None else (MISREAD, f"{misread.day}: {misread.words}"))


def kind_of_doubt(loss: FillLoss | None) -> str | None:
    """The kind of doubt alone."""
    doubt = None if loss is None else doubt_of(loss)
    return None if doubt is None else doubt[0]
