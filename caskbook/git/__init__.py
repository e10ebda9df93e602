"""Git, called from here alone: revisions, trees, the index and blobs as plain values."""

from caskbook.git.repository import Git, clean_environment, open_git
from caskbook.git.rows import Change, Commit, Entry, Joined

__all__ = ["Change", "Commit", "Entry", "Git", "Joined", "clean_environment", "open_git"]
