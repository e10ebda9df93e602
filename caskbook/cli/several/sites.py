"""Several ledgers named at once: which they are, what each is called, and what is said of one said in its name."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import NamedTuple

from caskbook.cli.common import OutputError, clock, day_or_today
from caskbook.core.days import DayError, today_in
from caskbook.core.finding import CaskbookError, NotInBook
from caskbook.core.speaking import speaking
from caskbook.core.typed_word import typed_word
from caskbook.export.place import plain_ledger
from caskbook.ledger.folder import find_ledger, is_among_casks
from caskbook.ledger.house_read import house_of
from caskbook.model.house import House
from caskbook.words.plural import number_of

_CHECKED = re.compile(r"caskbook (check|settle)\b")


class Site(NamedTuple):
    """One of several ledgers. `name`: that of its house, as `export` writes it, else that of its folder; `records`: its folder as it was typed; `day`: the
    day asked about in its time zone."""

    name: str
    records: str
    root: Path
    day: date
    house: House


def sites_of(records: Sequence[str], as_of: str | None, at: str | None = None) -> tuple[Site, ...]:
    """The ledgers in these folders, in this order. CaskbookError where one is none, each of those named; where two folders are one ledger, or two ledgers
    have one name; and for a revision, which is one of a single repository."""
    if at:
        raise CaskbookError(f"--at {at} with {len(records)} ledgers: a revision is of one repository; ask one ledger, or all of a day with --as-of")
    _refuse_odd(_roots(records))
    sites = []
    for folder in records:
        root = Path(folder)
        with errors_of(folder):
            house = house_of(root)
        day = day_or_today(as_of, _today(house))
        sites.append(Site(_name(house, day, root), folder, root, day, house))
    _refuse_one_name(sites)
    return tuple(sites)


def _roots(records: Sequence[str]) -> list[tuple[str, Path]]:
    """(the folder as typed, the folder it is). CaskbookError that names each in which there is no ledger."""
    found, wrong = [], []
    for folder in records:
        try:
            found.append((folder, find_ledger(Path.cwd(), folder, None).resolve()))
        except CaskbookError as error:
            wrong.append(str(error))
    if wrong:
        raise CaskbookError("; ".join(wrong))
    return found


def _refuse_odd(roots: Sequence[tuple[str, Path]]) -> None:
    """CaskbookError where two folders are one, which would count its casks twice, and for one among the casks of any ledger."""
    seen: dict[Path, str] = {}
    for folder, root in roots:
        if root in seen:
            raise CaskbookError(f"--records {seen[root]} and {folder} are one folder, whose casks would count twice: name it once")
        if is_among_casks(root):
            raise CaskbookError(f"--records {folder} lies among the casks of a ledger: name that ledger, or move the folder out")
        seen[root] = folder


def _today(house: House) -> date:
    now = clock()
    try:
        return today_in(house.timezone, now)
    except DayError:
        return now.date()


def _name(house: House, day: date, root: Path) -> str:
    """As `export` names the ledger; by its folder where the house has no name that a path can bear."""
    folder = "".join(sign if sign.isprintable() and sign != ":" else "-" for sign in root.resolve().name)
    try:
        return plain_ledger(house.on(day).name or folder)
    except CaskbookError:
        return folder


def _refuse_one_name(sites: Sequence[Site]) -> None:
    """CaskbookError where casks of two ledgers could not be told apart by the name of the house."""
    seen: dict[str, str] = {}
    for site in sites:
        if site.name in seen:
            raise CaskbookError(
                f"the ledgers in {seen[site.name]} and {site.records} are both called {site.name}: give each house a `name` of its own in house.yaml"
            )
        seen[site.name] = site.records


def told_of(site: Site, text: str) -> str:
    """A remark or a fault of one ledger, in its name; a command to look into it is told with its folder."""
    whole = text.removeprefix("caskbook: ")
    whole = _CHECKED.sub(lambda found: f"{found[0]} --records {typed_word(site.records)}", whole)
    return f"{'caskbook: ' * (whole is not text and text.startswith('caskbook: '))}{site.name}: {whole}"


@contextmanager
def speaking_of(site: Site) -> Iterator[None]:
    """While one of several ledgers is asked: what is said, and a CaskbookError, is told in its name."""
    try:
        with speaking(lambda text: told_of(site, text)):
            yield
    except OutputError:
        raise
    except CaskbookError as error:
        kind = NotInBook if isinstance(error, NotInBook) else CaskbookError
        raise kind(told_of(site, str(error))) from None


@contextmanager
def errors_of(folder: str) -> Iterator[None]:
    """While settings are read from a folder whose house has no name yet."""
    try:
        yield
    except CaskbookError as error:
        raise CaskbookError(f"{folder}: {error}") from None
    except OSError as error:
        raise CaskbookError(f"{folder}{os.sep}house.yaml cannot be read ({(error.strerror or str(error)).lower()})") from None


def in_ledgers(count: int) -> str:
    """`in 2 ledgers`."""
    return f"in {number_of(count, 'ledger')}"


def day_words(sites: Sequence[Site]) -> str:
    """The day that is told of; where the houses have another one each, each with its own."""
    days = {site.day for site in sites}
    return str(sites[0].day) if len(days) == 1 else ", ".join(f"{site.day} in {site.name}" for site in sites)
