"""Which other casks were filled from a vat on a day: looked for in the whole book where only some casks are checked."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from caskbook.checks.context import Context
from caskbook.checks.judged import tidied, view_of
from caskbook.checks.vats import Pour, pours, unlike_vat
from caskbook.core.finding import CaskbookError, Fault
from caskbook.core.vat_names import vat_key
from caskbook.ledger.files import Ledger
from caskbook.ledger.revisions import RevisionStore
from caskbook.yaml.escapes import ESCAPE, may_hold

_WORD = "vat"


def unlike_vat_of(poured: Collection[Pour], ledger: Ledger, context: Context) -> Iterator[tuple[str, Fault]]:
    """(cask, fault) as `unlike_vat` has them, of the casks that were filled so; what others had of the same vats those days is counted too."""
    casks, wanted = {pour.cask for pour in poured}, {(vat_key(pour.vat), pour.day) for pour in poured}
    others = (pour for name in _files(ledger) for pour in _poured_in(ledger, context, name) if (vat_key(pour.vat), pour.day) in wanted)
    return (found for found in unlike_vat(dict.fromkeys([*poured, *others]), context) if found[0] in casks)


def _poured_in(ledger: Ledger, context: Context, name: str) -> Iterator[Pour]:
    record = ledger.read_file(name)
    cask = tidied(record)
    if cask is not None:
        yield from pours(view_of(record, ledger.life_of(cask, context.today), context))


def _files(ledger: Ledger) -> list[str]:
    """The files of the book in which a vat may be named, by their bytes; where signs are written as escapes, it may."""
    store = ledger.file_store
    if isinstance(store, RevisionStore):
        found = {path[len(store.prefix) :] for path in store.git.holding(store.commit, (_WORD, ESCAPE.decode()), f"{store.prefix}casks/")}
        names = sorted(found & store.entries.keys())
        store.keep(names)
        return names
    known = ledger.vats_known() if ledger.vats_known is not None else None
    return [name for name in (ledger.names() if known is None else known) if _holds(ledger, name)]


def _holds(ledger: Ledger, name: str) -> bool:
    try:
        data = ledger.file_store.read(name)
    except CaskbookError:  # The whole check tells it.
        return False
    return data is not None and may_hold(data, _WORD.encode())
