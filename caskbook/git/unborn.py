"""A repository in which nothing is committed yet, told from one whose commit cannot be read: of the latter nobody may say that nothing has landed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from caskbook.core.finding import CaskbookError

_BROKEN = "git cannot read the commit that is checked out (HEAD), so what has landed is not known; `git fsck` says more"


def refuse_broken_head(text: Callable[..., str]) -> None:
    """CaskbookError where HEAD means a commit, or a branch that is there, and git reads none. `text`: what git answers, as `Git.text` gives it."""
    branch = text("symbolic-ref", "--quiet", "HEAD", good=(0, 1, 128))
    if not branch or text("rev-parse", "--verify", "--quiet", branch, good=(0, 1, 128)):
        raise CaskbookError(_BROKEN)
    try:
        Path(text("rev-parse", "--path-format=absolute", "--git-path", branch)).lstat()
    except (FileNotFoundError, NotADirectoryError):
        return
    except OSError as error:
        raise CaskbookError(f"{_BROKEN} ({error.strerror})") from None
    raise CaskbookError(_BROKEN)
