"""`show` of several ledgers: the cask in whichever ledger has it, in several each card under the name of its ledger."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

from caskbook.cli.commands.show import Asked, Shown, put_out, shown_cask
from caskbook.cli.common import Book, let_go, one_of, open_book, say
from caskbook.cli.remarks import say_strays
from caskbook.cli.several.sites import Site, in_ledgers, sites_of, speaking_of
from caskbook.core.finding import CaskbookError, NotInBook
from caskbook.ledger.files import is_cask_id
from caskbook.render.plain_json import safe_json


def run(cask_id: str, records: Sequence[str], as_of: str | None, at: str | None, form: str, *, every: bool, picture: bool, line: bool) -> int:
    """Print the cards; 1 where a file has errors, 2 where one cannot be read. As JSON a list, each with its `ledger` before all."""
    one_of("--format", form, ("text", "json", "svg"))
    if form == "svg" and picture == line:
        raise CaskbookError("--format svg draws one picture: say --map or --line")
    sites = sites_of(records, as_of, at)
    asked = Asked(form, at, every, picture, line)
    # A number that any ledger has is that cask; only one that none has may be an old mark, as in a single ledger.
    found, wrong = _shown(sites, cask_id, as_of, asked, in_full=True) if is_cask_id(cask_id.strip().upper()) else ({}, [])
    if not found and not wrong:
        found, wrong = _shown(sites, cask_id, as_of, asked, in_full=False)
    if form == "svg" and len(found) > 1:
        raise CaskbookError(f"{cask_id} {in_ledgers(len(found))}: {', '.join(site.name for site in found)}; a picture is of one cask, name one ledger")
    if found:
        put_out(_together(found, form), form)
    for site, shown in found.items():
        if shown.errors:
            with speaking_of(site):
                say(shown.errors)
    for text in wrong:
        say(f"caskbook: {text}")
    return 2 if wrong else 1 if any(shown.errors for shown in found.values()) else 0


def _shown(sites: Sequence[Site], cask_id: str, as_of: str | None, asked: Asked, *, in_full: bool) -> tuple[dict[Site, Shown], list[str]]:
    """(what is shown of the ledgers that have the cask, what is wrong in those where it cannot be read). CaskbookError where none has it, nor by what may
    stand for it, unless `in_full`."""
    found, wrong, lacking = dict[Site, Shown](), list[str](), list[str]()
    for site in sites:
        try:
            with speaking_of(site), _opened(site, as_of) as book:
                found[site] = shown_cask(book, cask_id, asked, in_full=in_full)
                say_strays(book.ledger.strays, None)
                if found[site].beside:
                    say(found[site].beside)
        except NotInBook as error:
            lacking.append(str(error))
        except CaskbookError as error:
            wrong.append(str(error))
    if not found and not wrong and not in_full:
        raise CaskbookError("; ".join(lacking))
    return found, wrong


@contextmanager
def _opened(site: Site, as_of: str | None) -> Iterator[Book]:
    """The book; what is asked of its index beside is let go where nobody takes it."""
    book = open_book(site.records, as_of, neighbours=True)
    try:
        yield book
    except CaskbookError:
        let_go(book.neighbours)
        raise


def _together(found: Mapping[Site, Shown], form: str) -> str:
    """The cards under each other, each under the name of its ledger; JSON as a list; the one picture."""
    if form == "text":
        return "\n\n".join(f"{site.name}\n{shown.text.rstrip()}" for site, shown in found.items())
    if form == "svg":
        return next(iter(found.values())).text
    return safe_json(json.dumps([{"ledger": site.name, **json.loads(shown.text)} for site, shown in found.items()], ensure_ascii=False, indent=2))
