"""What stands for a cask's number where somebody types less than all of it: its last figures or an old mark; and the next free number.

Numbers are found by the names of folders and files. No cask is read for them but those that may bear a mark.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from caskbook.core.finding import CaskbookError, NotInBook
from caskbook.ledger.files import Folder, Ledger, file_of, is_cask_id
from caskbook.ledger.old_marks import bearers
from caskbook.ledger.paths import is_cask_path
from caskbook.ledger.pending_writes import overlay
from caskbook.ledger.tracked import LeftOut, is_sparse

LEAST_FIGURES = 3
"""Of a number's end: fewer would be taken for a number wherever a figure lost its option."""
_TAIL = re.compile(r"[0-9]{3,9}", re.ASCII)
_NUMBER = re.compile(r"(.*-)([0-9]+)")
_MOST_TOLD = 8


@dataclass
class Numbers:
    """The short names of one book on a day. `remarks` gathers what is to be said of them.

    `marked`: names of the files that may bear a mark, None where that cannot be told soon. `of_parcel`: (cask, whether it is gone)
    of a parcel. `text_of`: what stands in a file of numbers, or on standard input for `-`. `with_gone`: casks of a parcel that are
    gone are wanted too.
    """

    ledger: Ledger
    day: date
    marked: Callable[[str], Sequence[str] | None]
    of_parcel: Callable[[str], list[tuple[str, bool]]]
    text_of: Callable[[str], str]
    remarks: list[str] = field(default_factory=list)
    with_gone: bool = False

    def meant(self, text: str) -> str:
        """The one cask that a short name stands for. CaskbookError that names all candidates where there are several, or none."""
        by_number = self._with_tail(text) if _TAIL.fullmatch(text) else []
        by_mark = [cask for cask in self.bearing(text, wholly=not by_number) if cask not in by_number]
        found = [*by_number, *by_mark]
        if len(found) > 1:
            raise CaskbookError(several(text, by_number, by_mark))
        if not found:
            raise self._none(text)
        if by_mark:
            self.tell_mark(text, found[0])
        return found[0]

    def bearer(self, text: str) -> str:
        """The one cask that bears or bore this mark; CaskbookError where none or several do."""
        found = self.bearing(text, wholly=True)
        if not found:
            raise NotInBook(f"{_plain(text)} is no old mark of a cask in the book")
        if len(found) > 1:
            raise CaskbookError(several(text, [], found))
        self.tell_mark(text, found[0])
        return found[0]

    def bearing(self, text: str, *, wholly: bool) -> list[str]:
        """Casks that bear or bore a mark. `wholly`: all files are looked through where nothing tells it sooner."""
        if self.ledger.gone is not None:
            return []
        names = self.marked(text.strip())
        return bearers(self.ledger, text, self.day, names) if names is not None or wholly else []

    def tell_mark(self, text: str, cask: str) -> None:
        """Note for whoever typed it which cask a mark was found on."""
        self.remarks.append(f"{_plain(text)} is an old mark of {cask}")

    def next_free(self, lead: str | None, count: int) -> list[str]:
        """So many numbers behind the highest that begins with `lead` (as TH; None: the only letters there are)."""
        highest: dict[tuple[str, int], int] = {}
        for number in self._all():
            parts = _NUMBER.fullmatch(number)
            if parts is not None and lead in (None, parts[1][:-1]):
                kind = (parts[1], len(parts[2]))
                highest[kind] = max(highest.get(kind, 0), int(parts[2]))
        if not highest:
            none = f"no number of the book begins with {lead}-" if lead else "the book has no number yet"
            raise CaskbookError(f"{none}: type the first one in full, as TH-000001")
        if len(highest) > 1:
            ways = ", ".join(f"{start}{last:0{width}d}" for (start, width), last in sorted(highest.items())[:_MOST_TOLD])
            raise CaskbookError(f"next after which? The highest of each kind: {ways}; as {min(highest)[0]}next, or type the first one in full")
        (start, width), last = highest.popitem()
        if last + count >= 10**width:
            raise CaskbookError(f"behind {start}{last:0{width}d} there are not {count} numbers of {width} figures: type them in full")
        found = [f"{start}{last + n:0{width}d}" for n in range(1, count + 1)]
        self.remarks.append(f"next free: {found[0]}" + (f" to {found[-1]}" if count > 1 else ""))
        return found

    def ending(self, figures: str) -> list[str]:
        """All numbers of the book that end in these figures, in order."""
        return self._with_tail(figures)

    def begun_with(self, text: str, most: int) -> list[str]:
        """So many numbers at most that begin with the text, or whose figures do, noughts in front aside."""
        store = self.ledger.file_store
        if not isinstance(store, Folder):
            return []
        wanted, found = text.upper(), list[str]()
        for folder in folders_of(store.root / "casks"):
            short = _figures(folder).lstrip("0")
            by_letter = folder.startswith(wanted) or wanted.startswith(folder)
            if by_letter or short.startswith(wanted) or wanted.startswith(short):
                casks = casks_in(store.root / "casks", folder)
                found += [cask for cask in casks if cask.startswith(wanted) or _figures(cask).lstrip("0").startswith(wanted)]
            if len(found) >= most:
                break
        return found[:most]

    def unread(self, figures: str) -> str:
        """Why a number that ends so may be there all the same: there are no casks at all, or the folder where it would lie is a link, which
        is not followed. Empty where neither."""
        store = self.ledger.file_store
        if self.ledger.gone is not None:
            return str(self.ledger.gone)
        links = folders_of(store.root / "casks", linked=True) if isinstance(store, Folder) else []
        links = [folder for folder in links if _figures(folder).endswith(figures[:-LEAST_FIGURES])]
        more = f" and {len(links) - 1} more are links, which are" if len(links) > 1 else " is a link, which is"
        return f"{store.shown}casks/{links[0]}{more} not followed; put the folder itself in its place" if links else ""

    def _none(self, text: str) -> CaskbookError:
        """That a short name means no cask."""
        if _TAIL.fullmatch(text):
            unread = self.unread(text)
            why = f" as far as it is read: {unread}" if unread else ", and no old mark reads so"
            return (CaskbookError if unread else NotInBook)(f"no number of the book ends in {text}{why}")
        return NotInBook(
            f"{_shown(text)} is no cask number: capitals, then 4 to 9 figures, as TH-004217, or its last figures, as 4217; and no old mark reads so"
        )

    def _with_tail(self, figures: str) -> list[str]:
        """All numbers of the book that end in these figures: a folder is called as its casks are, less the last three figures."""
        return sorted(cask for cask in self._all(figures) if _figures(cask).endswith(figures))

    def _all(self, tail: str = "") -> Iterator[str]:
        """Numbers of the book; of those with other last figures than `tail` as few as may be."""
        store = self.ledger.file_store
        if not isinstance(store, Folder):
            yield from self.ledger.ids()
            return
        seen = set(self._beside(store))
        yield from seen
        for folder in folders_of(store.root / "casks"):
            if tail:
                cask = folder + tail[-LEAST_FIGURES:]
                if _figures(folder).endswith(tail[:-LEAST_FIGURES]) and cask not in seen and (store.root / file_of(cask)).is_file():
                    yield cask
            else:
                yield from (cask for cask in casks_in(store.root / "casks", folder) if cask not in seen)

    def _beside(self, store: Folder) -> Iterator[str]:
        """Numbers whose files are just being written, or are left out of the work tree."""
        names = [*overlay(store.root), *(LeftOut(store.root) if is_sparse(store.root) else ())]
        yield from (name.rpartition("/")[2].removesuffix(".yaml") for name in names if is_cask_path(name))


def folders_of(casks: os.PathLike[str], *, linked: bool = False) -> list[str]:
    """The folders of casks, in order, whose casks are called as they are; with `linked` the links that are called so, of which none is read."""
    try:
        with os.scandir(casks) as found:
            return sorted(one.name for one in found if is_cask_id(f"{one.name}000") and (one.is_symlink() if linked else one.is_dir(follow_symlinks=False)))
    except OSError:
        return []


def casks_in(casks: os.PathLike[str], folder: str) -> list[str]:
    """The numbers in one of these folders."""
    try:
        with os.scandir(os.path.join(casks, folder)) as found:  # noqa: PTH118 - a path of each would take longer than the look
            names = [one.name.removesuffix(".yaml") for one in found if one.name.endswith(".yaml") and one.is_file(follow_symlinks=False)]
    except OSError:
        return []
    return sorted(name for name in names if name.startswith(folder) and is_cask_id(name))


def several(text: str, by_number: Sequence[str], by_mark: Sequence[str]) -> str:
    """That a short name stands for several casks, which ones, and how to tell them apart."""
    found = [*by_number, *(f"{cask} (old mark)" for cask in by_mark)]
    more = f" and {len(found) - _MOST_TOLD} more" if len(found) > _MOST_TOLD else ""
    listed = ", ".join(found[:_MOST_TOLD]) + more
    if not by_number:
        return f"{_plain(text)} is an old mark of {', '.join(by_mark[:_MOST_TOLD])}{more}: which one?"
    return f"{text} is the end of several numbers: {listed}: which one?" if not by_mark else f"{text} may be {listed}: which one?"


def _figures(number: str) -> str:
    return number.rpartition("-")[2]


def _plain(text: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in text.strip()[:60])


def _shown(text: str) -> str:
    clean = _plain(text)[:30]
    return f"'{clean}'" if not clean.isalnum() else clean
