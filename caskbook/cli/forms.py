"""`--format` of every command that gives rows: the same forms for all of them."""

from __future__ import annotations

from caskbook.cli.common import one_of
from caskbook.core.finding import CaskbookError

FORMS = ("text", "json", "jsonl", "csv")
_ROWS_ALONE = ("jsonl", "csv")
"""Forms that hold rows and nothing beside them."""


def check_form(form: str, more: tuple[str, ...] = (), *, explain: bool = False) -> None:
    """CaskbookError for a form that is none of these, nor of the `more` that the command has, and, where the figures are explained, for one of rows alone."""
    one_of("--format", form, (*FORMS, *more))
    if explain and form in _ROWS_ALONE:
        raise CaskbookError(f"--explain --format {form}: expected text or json")
