"""Git, called from here alone: revisions, trees, the index and blobs as plain values."""

from caskbook.git.repository import Git, open_git
from caskbook.git.rows import Change, Commit, Entry, Joined
from caskbook.git.surroundings import (
    bare_above,
    clean_environment,
    in_push,
    names_in_index,
    plain_index,
    without_git,
)

__all__ = [
    "Change",
    "Commit",
    "Entry",
    "Git",
    "Joined",
    "bare_above",
    "clean_environment",
    "in_push",
    "names_in_index",
    "open_git",
    "plain_index",
    "without_git",
]
