"""What was likely meant by a command line that begins with no command: a job, or a cask."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.core.finding import CaskbookError


def refuse_job_or_cask(arguments: Sequence[str]) -> None:
    """CaskbookError with the line to type where the first word is a job of the trade or a cask's number; nothing otherwise."""
    from caskbook.ledger.paths import is_cask_id
    from caskbook.words import AmbiguousWord, UnknownWord, canonical

    first, rest = arguments[0], "".join(f" {_shown(word)}" for word in arguments[1:6])
    if is_cask_id(first.upper()):
        raise CaskbookError(f"{first} is a cask, no command: did you mean caskbook show {first.upper()}?")
    try:
        job = canonical("job", first)
    except AmbiguousWord as error:
        raise CaskbookError(f"{error}: jobs are typed as caskbook enter JOB{rest}") from None
    except UnknownWord:
        return
    raise CaskbookError(f"{first} is a job, no command: did you mean caskbook enter {job}{rest}?")


def _shown(word: str) -> str:
    clean = "".join(sign if sign.isprintable() else "?" for sign in word[:40])
    return f"'{clean}'" if " " in clean else clean
