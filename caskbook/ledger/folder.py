"""Where the ledger is: the folder that holds house.yaml, named or found by walking up."""

from __future__ import annotations

from pathlib import Path

from caskbook.core.finding import CaskbookError

HOUSE_FILE = "house.yaml"


def find_ledger(start: Path, given: str | None, from_environment: str | None) -> Path:
    """The ledger's folder: named, from the environment, or found by walking up from `start`. CaskbookError if none."""
    for named, how in ((given, "--records"), (from_environment, "CASKBOOK_RECORDS")):
        if named:
            path = Path(named)
            if not (path / HOUSE_FILE).is_file():
                raise CaskbookError(_odd_house(path / HOUSE_FILE) or f"{how} names {named}: no {HOUSE_FILE} there")
            return path
    for folder in (start, *start.parents):
        for candidate in (folder, folder / "records"):
            if is_among_casks(candidate):
                continue
            if (candidate / HOUSE_FILE).is_file():
                _refuse_two(candidate.parent if candidate.name == "records" else candidate)
                return candidate
            odd = _odd_house(candidate / HOUSE_FILE)
            if odd:
                raise CaskbookError(odd)
    raise CaskbookError(f"no ledger here or above: no {HOUSE_FILE}; make one with `caskbook init`, or name it with --records")


def is_among_casks(folder: Path) -> bool:
    """Whether a folder lies among the casks of a ledger (the folder `casks` itself included): no ledger is there."""
    return any(at.name == "casks" and (at.parent / HOUSE_FILE).is_file() for at in (folder, *folder.parents))


def houses_above(root: Path) -> list[Path]:
    """Every house.yaml in a folder above a ledger, nearest first, up to the top of its work tree; without git, in the folder above
    one called records."""
    whole = root.resolve()
    places = list(whole.parents)
    tops = [n for n, place in enumerate((whole, *places)) if (place / ".git").exists()]
    return [place / HOUSE_FILE for place in places[: tops[0] if tops else int(whole.name == "records")] if (place / HOUSE_FILE).is_file()]


def other_house(root: Path, start: Path) -> Path | None:
    """A house.yaml that somebody in the folder `start` may take for that of the ledger used, which is in `root`: one passed on the
    way up to it, or one above it. None where there is none."""
    for folder in (start, *start.parents):
        if folder == root:
            break
        for candidate in (folder, folder / "records"):
            if candidate != root and (candidate / HOUSE_FILE).is_file() and is_among_casks(candidate):
                return candidate / HOUSE_FILE
    return next(iter(houses_above(root)), None)


def no_ledger_at(shown: str) -> str:
    """That a revision holds no ledger where one is looked for (`shown`: REVISION:FOLDER/)."""
    return f"no {HOUSE_FILE} in {shown or './'}: that revision has no ledger there; name one that has, or commit it first"


def _odd_house(path: Path) -> str:
    """What stands where house.yaml should and is no file, in words; "" where there is nothing."""
    if path.is_symlink():
        return f"{path}: a link that leads to no file; put the file itself in its place"
    return f"{path}: not an ordinary file; put the file itself in its place" if path.exists() else ""


def _refuse_two(folder: Path) -> None:
    """CaskbookError where a folder and its records/ both hold a ledger: which one is meant must be said."""
    one, other = folder / HOUSE_FILE, folder / "records" / HOUSE_FILE
    if one.is_file() and other.is_file():
        raise CaskbookError(f"two ledgers, {one} and {other}: name the one that is meant with --records")
