"""`schema`: write the JSON Schemas."""

from __future__ import annotations

from pathlib import Path

from caskbook.cli.common import say
from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.ledger.atomic_write import check_plain, put_file

USUAL = "schemas"
"""The folder that is meant where none is named."""


def run(folder: str) -> int:
    """Write both schemas into the folder, which may be a link where it is named."""
    place = Path(folder)
    say(f"written: {', '.join(write_schemas(place, whole=folder == USUAL))}")
    return 0


def write_schemas(folder: Path, *, whole: bool = True) -> list[str]:
    """Write the schemas into a folder, made where it is missing; the paths written. CaskbookError for a link in the place of one
    of them, or (`whole`) of the folder itself: nothing is written where it leads.
    """
    from caskbook.model.json_schema import schema_texts

    top = folder.parent if whole else folder
    for name in schema_texts():
        check_plain(top, folder / name)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CaskbookError(f"cannot write into {folder}: {error.strerror}") from None
    with outcome.whole():
        for name, text in schema_texts().items():
            put_file(top, folder / name, text.encode("utf-8"), called=str(folder / name))
    return [str(folder / name) for name in schema_texts()]
