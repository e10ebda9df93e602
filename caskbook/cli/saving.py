"""`--save FILE`: which kind of picture its ending means, and pictures put down so that nothing else is lost by it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from pathlib import Path

from caskbook.cli.common import say
from caskbook.core import outcome
from caskbook.core.finding import CaskbookError


def read_target(save: str | None, endings: Sequence[str], line: str) -> Path:
    """The file meant. CaskbookError where none is named (`line` shows how), its ending is none of these, or its folder is not there."""
    kinds = f"{', '.join(endings[:-1])} or {endings[-1]}" if len(endings) > 1 else endings[0]
    if not save:
        raise CaskbookError(f"where to? as: {line} --save FILE{kinds.replace(', ', ', FILE').replace(' or ', ' or FILE')}")
    path = Path(save)
    if path.suffix.lower() not in endings:
        raise CaskbookError(f"--save {save[:80]}: expected a file that ends in {kinds}")
    try:
        if not path.parent.is_dir():
            raise CaskbookError(f"--save {save[:80]}: there is no folder {path.parent}")
        if path.is_dir():
            raise CaskbookError(f"--save {save[:80]}: that is a folder")
    except (OSError, ValueError) as error:
        raise CaskbookError(f"--save {save[:80]}: {getattr(error, 'strerror', None) or error}") from None
    return path


def put_pictures(files: Mapping[Path, bytes]) -> None:
    """Put all of them down, or none: CaskbookError before the first where one of the names is taken by what was not made here."""
    from caskbook.ledger.atomic_write import check_plain, put_file, read_bytes
    from caskbook.paper.pictures import MARKED, is_ours

    def replaceable(path: Path, data: bytes | None) -> bool:
        return data is None or (path.suffix.lower() in MARKED and is_ours(data, path.suffix.lower()))

    for path in files:
        check_plain(path.parent, path)
        if path.exists() and not replaceable(path, read_bytes(path)):
            what = "is no page that caskbook printed" if path.suffix.lower() in MARKED else "may be filled in"
            raise CaskbookError(f"{path} is there already, and {what}: take another name, or move it away")
    with outcome.whole():
        for path, data in files.items():
            put_file(path.parent, path, data, partial(replaceable, path), called=str(path))


def say_lacking(texts: Iterable[str]) -> None:
    """Say which signs of these texts cannot be printed as they are."""
    from caskbook.paper.letters import lacking

    if signs := "".join(sorted(set().union(*map(lacking, set(texts))))):
        say(f"the letters of the print lack {signs}: such a sign goes without its accent, or is a question mark")
