"""`due --explain` of several ledgers: what the list of each counts, by its own settings, one ledger after the other."""

from __future__ import annotations

import json
from collections.abc import Mapping

from caskbook.cli.commands.due import DueList
from caskbook.cli.commands.due_explained import explained_of
from caskbook.cli.commands.due_wanted import Wanted
from caskbook.cli.judged_at import put_out
from caskbook.cli.several.sites import Site
from caskbook.render.due_explained import explained_json, explained_text
from caskbook.render.plain_json import data_json


def print_explained(of_each: Mapping[Site, DueList], wanted: Mapping[Site, Wanted]) -> None:
    """Print what each rule counts in each ledger: texts under its name, or an object with `ledgers`, each with its `ledger` before what one has alone."""
    found = {site.name: explained_of(site.root, due.day, due.counts, wanted[site], None) for site, due in of_each.items()}

    def text(width: int | None) -> str:
        return "\n\n".join(f"{name}\n{explained_text(one, width=width)}" for name, one in found.items())

    put_out(
        next(iter(wanted.values())).form,
        text,
        lambda form: data_json({"ledgers": [{"ledger": name, **json.loads(explained_json(one))} for name, one in found.items()]}),
    )
