"""Files of casks that strayed within casks/: dragged into another folder, named ID.yml, or by a name that is no UTF-8. None is read where it lies."""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.git import Git
from caskbook.ledger.other_book import is_other_book
from caskbook.ledger.paths import file_of, is_utf8, plain_name, strayed_number


def is_astray(name: str) -> bool:
    """Whether a path in the ledger is that of a cask's file by its ending, and by its place or name none that is read."""
    if not is_utf8(name):
        return name.startswith("casks/") and "/." not in name and name.lower().endswith((".yaml", ".yml"))
    return bool(strayed_number(name))


def odd_names(listed: bytes, prefix: str = "") -> Iterator[str]:
    """The paths in a list of git's, each behind a tab and ended by a nought, that are not of the usual form casks/DIR/ID.yaml; without the `prefix` of the ledger."""
    start = b"\t" + os.fsencode(prefix)
    for found in re.finditer(re.escape(start) + rb"(casks/(?![^/\0]+/[A-Z0-9-]+\.yaml\0)[^\0]*)", listed):
        yield os.fsdecode(found[1])


def there(root: Path, names: Iterable[str]) -> list[str]:
    """Those of these names that strayed and are on disk, sorted."""
    return sorted({name for name in names if is_astray(name) and os.path.lexists(root / name)})


def strays_among(root: Path, folders: Iterable[str] | None = None) -> list[str]:
    """Files that strayed, sorted, as `casks/A/B/ID.yaml`. `folders`: only these folders of casks are looked into, and what lies in none."""
    if (root / "casks").is_symlink():
        return []
    top = _listed(root, "casks")
    found = list(strays_of(root, "casks", top))
    inside = [item.name for item in top if item.is_dir(follow_symlinks=False)] if folders is None else folders
    for name in inside:
        items = _listed(root, f"casks/{name}")
        if not any(item.name == ".git" for item in items) or not is_other_book(root, f"casks/{name}"):
            found += strays_of(root, f"casks/{name}", items)
    return sorted(found)


def strays_of(root: Path, folder: str, items: Iterable[os.DirEntry[str]]) -> Iterator[str]:
    """Those among what was listed in casks/, or in a folder there; of the latter also what lies in folders below it."""
    for item in items:
        name = f"{folder}/{item.name}"
        if item.is_dir(follow_symlinks=False):
            yield from strays_below(root, name) if folder != "casks" else ()
        elif is_astray(name):
            yield name


def strays_below(root: Path, folder: str) -> list[str]:
    """Those in a folder that lies in one of casks, however deep; none in another book or a hidden one."""
    found, inside = list[str](), [folder]
    while inside:
        here = inside.pop()
        if here.rpartition("/")[2].startswith(".") or is_other_book(root, here):
            continue
        for item in _listed(root, here):
            name = f"{here}/{item.name}"
            if item.is_dir(follow_symlinks=False):
                inside.append(name)
            elif is_astray(name):
                found.append(name)
    return sorted(found)


def _listed(root: Path, folder: str) -> list[os.DirEntry[str]]:
    """What lies in a folder; nothing where it is none, or may not be looked into, which whoever reads it says."""
    with contextlib.suppress(OSError), os.scandir(root / folder) as found:
        return list(found)
    return []


def place_of(root: Path, number: str, strays: Iterable[str]) -> str:
    """Where the file of a number lies that is not at its place: in the folder of others, or among those that strayed; empty where nowhere."""
    for item in sorted(_listed(root, "casks"), key=lambda item: item.name):
        name = f"casks/{item.name}/{number}.yaml"
        if item.is_dir(follow_symlinks=False) and name != file_of(number) and os.path.lexists(root / name):
            return name
    return next((name for name in strays if strayed_number(name) == number), "")


def astray_line(root: Path, number: str, place: str) -> str:
    """That a cask's file lies in another place than its own, and how to bring it there."""
    from caskbook.core.typed_word import typed_word
    from caskbook.ledger.no_casks import seen

    given, own = typed_word(seen(root / place)), root / file_of(number)
    try:
        tracked = bool(Git(root).run("ls-files", "-z", "--", f":(literal){place}"))
    except CaskbookError:
        tracked = False
    first = "" if own.parent.is_dir() else f"mkdir {typed_word(seen(own.parent))}; "
    return (
        f"{number} is not where it is read: its file is {plain_name(seen(root / place))}; {first}{'git ' if tracked else ''}mv {given} {typed_word(seen(own))}"
    )
