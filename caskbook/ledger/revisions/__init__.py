"""The ledger in git: as it stood in a revision, and which of its files differ between two."""

from caskbook.ledger.revisions.between import Between, between
from caskbook.ledger.revisions.revision import RevisionStore, file_store_at

__all__ = ["Between", "RevisionStore", "between", "file_store_at"]
