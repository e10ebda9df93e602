"""Casks by what is typed for them: an old mark, a vat, a parcel."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from caskbook.core.vat_names import INTO_ASCII, vat_key
from caskbook.index.answer import Answer
from caskbook.index.bearing_files import files_bearing, files_bearing_words
from caskbook.index.store import Store
from caskbook.ledger.old_marks import may_bear


def files_marked(root: Path, text: str, *, disk: bool = True) -> list[str] | None:
    """Names of the files that may bear an old mark, capitals aside, more rather than fewer: the caller reads them. None where
    the files cannot be looked at. `disk`: whether a kept index may be asked."""
    wanted = text.strip().casefold()
    return files_bearing(root, lambda store: _kept(store, wanted), lambda data: may_bear(data, wanted), disk=disk)


def _kept(store: Store, wanted: str) -> Iterator[str]:
    """Files with such a mark among those of a cask; with a sign beyond ASCII, typed or kept, all that have any, since SQLite knows no other
    capitals, and some of them fold into signs of ASCII (ß)."""
    rows = store.execute(
        "SELECT v.name FROM life l INDEXED BY life_marks CROSS JOIN version v ON v.id = l.version WHERE l.old_marks IS NOT NULL"
        " AND (? OR instr(lower(l.old_marks), ?) OR instr(l.old_marks, '\\u') OR length(CAST(l.old_marks AS BLOB)) > length(l.old_marks))",
        (not wanted.isascii(), json.dumps(wanted)[1:-1].lower()),
    )
    yield from (row[0] for row in rows)


def files_of_vat(root: Path, vat: str, *, disk: bool = True) -> list[str] | None:
    """Names of the files whose casks may hold what came out of a vat, capitals aside; as `files_marked`."""
    wanted = vat_key(vat)
    plain = [wanted, *INTO_ASCII] if wanted.isascii() and wanted.replace("-", "").isalnum() else ["vat"]

    def kept(store: Store) -> Iterator[str]:
        rows = store.execute("SELECT v.name, l.vat FROM life l INDEXED BY life_vat CROSS JOIN version v ON v.id = l.version WHERE l.vat IS NOT NULL")
        yield from (name for name, found in rows if vat_key(found) == wanted)

    return files_bearing_words(root, kept, [word.encode() for word in plain], disk=disk, fold=True)


def parcel_or_all(answer: Answer, parcel: str) -> tuple[list[tuple[str, bool]], list[str]]:
    """((cask, whether it is gone) of a parcel, in order; where it has none, all parcels there are)."""
    found = _of_parcel(answer, parcel)
    return found, [] if found else _parcels(answer)


def _of_parcel(answer: Answer, parcel: str) -> list[tuple[str, bool]]:
    """The casks of a parcel; what goes on under another number is left out."""
    rows = answer.store.execute(
        "SELECT l.cask, l.state FROM life l INDEXED BY life_parcel WHERE l.parcel = ? AND l.begun"
        " AND EXISTS (SELECT 1 FROM answer_life a WHERE a.answer = ? AND a.life = l.id) ORDER BY l.cask",
        (parcel, answer.number),
    )
    joined = answer.joined
    return [(cask, state == "gone") for cask, state in rows if cask not in joined]


def _parcels(answer: Answer) -> list[str]:
    """The parcels that casks came in."""
    return [row[0] for row in answer.store.execute("SELECT DISTINCT parcel FROM life INDEXED BY life_parcel WHERE parcel IS NOT NULL")]
