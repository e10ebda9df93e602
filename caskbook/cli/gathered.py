"""What a report of the whole book is made of, gathered from the one ledger or from all that were named."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.cli.forms import check_form
from caskbook.cli.remarks import say_no_casks, say_nothing_fits
from caskbook.cli.report_rows import Asked, Gathered, found_in
from caskbook.stats.report_head import What


def gathered(asked: Asked, what: Sequence[What], facts: Sequence[str], by_cask: Sequence[str] = (), *, every: bool = False) -> Gathered:
    """What is told out of the index, which keeps it; one that turns out to be damaged is made anew, and asked again. What was left out, and
    a filter that nothing passes, is said on the side. `by_cask`: filters that the report applies itself, told over it with the others; `every`: whether
    the first of `what`, which alone has the `facts`, is wanted of all casks of the book too.

    CaskbookError for a form that is none, and for a filter that cannot be read."""
    check_form(asked.form, explain=asked.explain)
    if isinstance(asked.records, tuple):
        from caskbook.cli.several.report_rows import gathered_of_all

        return gathered_of_all(asked, what, facts, by_cask, every=every)
    found, near = found_in(asked, what, facts, by_cask, every=every)
    if not found.head.casks and not say_no_casks(found.root, asked.at) and found.head.filters:
        say_nothing_fits(found.head.filters, near)
    return found
