"""What a range of commits, or the work tree, did to the book: in the trade's words, and first of all whether history was altered."""

from caskbook.review.gather import review
from caskbook.review.limit import Limit, limit_to
from caskbook.review.merges import Joint, joint
from caskbook.review.model import (
    Against,
    Apart,
    CaskDay,
    Day,
    Group,
    HeadChange,
    Late,
    NewCasks,
    PutRight,
    Review,
    Rewritten,
    Setting,
    Told,
    Turned,
)
from caskbook.review.span import Stretch, stretch

__all__ = [
    "Against", "Apart", "CaskDay", "Day", "Group", "HeadChange", "Joint", "Late", "Limit", "NewCasks", "PutRight", "Review", "Rewritten", "Setting", "Stretch", "Told", "Turned", "joint", "limit_to",
    "review", "stretch",
]  # fmt: skip
