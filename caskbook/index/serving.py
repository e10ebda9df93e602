"""What a ledger asks of the index, so that it need not read the whole book; each is loaded when it is asked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection

    from caskbook.ledger.files import Ledger
    from caskbook.model.joins import Claims


def serve(ledger: Ledger, root: Path, here: Path, *, disk: bool, now: bool) -> None:
    """The ledger asks the index of `root` which numbers are claimed, and which files may name a donor or a vat, and which strayed. `disk`: whether a kept index may be
    asked; `now`: every file is looked at, also one that was written over in place."""

    def claims() -> Claims | None:
        from caskbook.index.peek import claims_known, claims_now

        return claims_now(root, here) if now else claims_known(root, here)

    def takers(donors: Collection[str]) -> list[str] | None:
        from caskbook.index.takers import takers_known, takers_now

        return takers_now(root, donors) if now else takers_known(root, donors, disk=disk)

    def vats() -> list[str] | None:
        from caskbook.index.takers import vats_known, vats_now

        return vats_now(root) if now else vats_known(root, disk=disk)

    def strays() -> list[str] | None:
        from caskbook.index.peek import strays_known

        return strays_known(root) if disk else None

    ledger.claims_known, ledger.takers_known, ledger.vats_known, ledger.strays_known = claims, takers, vats, strays


def search_near(ledger: Ledger) -> None:
    """A ledger of which a few casks are asked about finds what bears on them by the bytes of the files, where no index tells."""
    from caskbook.index.near_bonds import BondsOnDisk
    from caskbook.ledger.files import Folder

    if isinstance(ledger.file_store, Folder):
        ledger.near = BondsOnDisk(ledger.file_store)
