"""The ledger in git: as it stood in a revision, and which of its files differ between two."""

from caskbook.ledger.revisions.between import Between, between
from caskbook.ledger.revisions.revision import RevisionShelf, shelf_at

__all__ = ["Between", "RevisionShelf", "between", "shelf_at"]
