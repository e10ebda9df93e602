"""Where the ledger is: the folder that holds house.yaml, named or found by walking up."""

from __future__ import annotations

from pathlib import Path

from caskbook.finding import CaskbookError

HOUSE_FILE = "house.yaml"
CASK_ID = r"^[A-Z][A-Z0-9]*(-[A-Z0-9]+)*-[0-9]{4,9}$"


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
            if (candidate / HOUSE_FILE).is_file():
                _refuse_two(candidate.parent if candidate.name == "records" else candidate)
                return candidate
            odd = _odd_house(candidate / HOUSE_FILE)
            if odd:
                raise CaskbookError(odd)
    raise CaskbookError(f"no ledger here or above: no {HOUSE_FILE}; make one with `caskbook init`, or name it with --records")


def no_ledger_at(shown: str) -> str:
    """That a revision holds no ledger where one is looked for (`shown`: REVISION:FOLDER/)."""
    return f"no {HOUSE_FILE} in {shown or './'}: that revision has no ledger there; name one that has, or commit it"


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
