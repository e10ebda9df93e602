"""Which other casks were filled from a vat on a day: looked for in the whole book where only some casks are checked."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from caskbook.checks.context import Context
from caskbook.checks.judged import life_of, view_of
from caskbook.checks.naming_files import files_naming
from caskbook.checks.vats import Pour, pours, unlike_vat
from caskbook.core.finding import Fault
from caskbook.core.vat_names import vat_key
from caskbook.ledger.files import Ledger


def unlike_vat_of(poured: Collection[Pour], ledger: Ledger, context: Context) -> Iterator[tuple[str, Fault]]:
    """(cask, fault) as `unlike_vat` has them, of the casks that were filled so; what others had of the same vats those days is counted too."""
    casks, wanted = {pour.cask for pour in poured}, {(vat_key(pour.vat), pour.day) for pour in poured}
    known = ledger.vats_known() if ledger.vats_known is not None else None
    others = (pour for name in files_naming(ledger, ("vat",), known) for pour in _poured_in(ledger, context, name) if (vat_key(pour.vat), pour.day) in wanted)
    return (found for found in unlike_vat(dict.fromkeys([*poured, *others]), context) if found[0] in casks)


def _poured_in(ledger: Ledger, context: Context, name: str) -> Iterator[Pour]:
    record = ledger.read_file(name)
    life = life_of(ledger, record, context)
    if life is not None:
        yield from pours(view_of(record, life, context))
