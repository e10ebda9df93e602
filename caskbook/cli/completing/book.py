"""What a book holds, as far as completion wants it: casks by their folders, crew and stores as house.yaml has them, berths as the index
knows them. Nothing here is believed or changed; where something is not plain, nothing is offered."""

from __future__ import annotations

import os
import re
import time

_HOUSE = "house.yaml"
_INITIALS = re.compile(r"\binitials:\s*[\"']?([^\s,}\"']+)")
_NAME = re.compile(r"\bname:\s*[\"']?([^,}\"'\n]+)")
_UNTIL = re.compile(r"\buntil:\s*[\"']?(\d{4}-\d\d-\d\d)")
_PAIR = re.compile(r"[\"']?([\w-]+)[\"']?\s*:\s*[\"']?([^,}\"'#\n]+)")
_EVENT = re.compile(rb"^ *-? *id: *([0-9a-z]+)", re.M)
_DAY = re.compile(rb"^ *-? *date: *(\S+)", re.M)
_JOB = re.compile(rb"^ *-? *job: *(\S+)", re.M)
_STEERING = frozenset("`$\\\"'();|&<>*?[]{}!#~^=")
_MOST_HOUSE, _MOST_CASK = 1_000_000, 5_000_000


def is_plain(word: str) -> bool:
    """Whether a word out of a book may stand on a line as it is: no sign in it means anything to a shell, and it is no option."""
    return word.isprintable() and not word.startswith("-") and not _STEERING & set(word)


def ledger_here(words: list[str]) -> str | None:
    """The folder of the ledger that the line means: named on it, by CASKBOOK_RECORDS, else the nearest above; None where there is none."""
    named = next((words[n + 1] for n, word in enumerate(words[:-1]) if word == "--records"), "") or os.environ.get("CASKBOOK_RECORDS", "")
    if named:
        return named if os.path.isfile(os.path.join(named, _HOUSE)) else None
    at = os.getcwd()
    while True:
        for folder in (at, os.path.join(at, "records")):
            if os.path.isfile(os.path.join(folder, _HOUSE)):
                return folder
        above = os.path.dirname(at)
        if above == at:
            return None
        at = above


def casks(root: str, begun: str) -> tuple[list[str], bool]:
    """(folders that begin so, False), or the casks of the one folder that is meant, and True."""
    there = os.path.join(root, "casks")
    folders = sorted(name for name in _names(there) if name.startswith(begun) or begun.startswith(name))
    inside = [name for name in folders if begun.startswith(name)]
    meant = inside or folders
    if not inside and len(folders) != 1:
        return folders, False
    found = [name[:-5] for folder in meant for name in _names(os.path.join(there, folder)) if name.endswith(".yaml") and name.startswith(begun)]
    return sorted(found), True


def _names(folder: str) -> list[str]:
    """Plain names in a folder; none of hidden files, or where it cannot be read."""
    try:
        if os.path.islink(folder) or os.path.islink(os.path.dirname(folder)):
            return []
        return [name for name in os.listdir(folder) if is_plain(name) and not name.startswith(".") and " " not in name]
    except OSError:
        return []


def house_text(root: str) -> str:
    """The text of house.yaml; empty where it cannot be read."""
    return _own_bytes(root, _MOST_HOUSE, _HOUSE).decode("utf-8", "replace").replace("\r\n", "\n")


def _own_bytes(root: str, most: int, *parts: str) -> bytes:
    """What a file of the ledger holds; nothing where it cannot be read, or where it or a folder on the way there is a link."""
    at = root
    for part in parts:
        at = os.path.join(at, part)
        if os.path.islink(at):
            return b""
    try:
        if not os.path.isfile(at):
            return b""
        with open(at, "rb") as file:
            return file.read(most)
    except (OSError, ValueError):
        return b""


def _block(text: str, key: str) -> str:
    """What stands under a key of the first column, up to the next such key, without whole-line remarks."""
    lines = text.split("\n")
    for n, line in enumerate(lines):
        if line.startswith(f"{key}:"):
            end = next((m for m in range(n + 1, len(lines)) if lines[m][:1] not in ("", " ", "-", "#", "]", "}")), len(lines))
            return "\n".join([line[len(key) + 1 :], *(one for one in lines[n + 1 : end] if not one.lstrip().startswith("#"))])
    return ""


def crew(text: str) -> list[tuple[str, str]]:
    """(initials, name) of the crew that has not left."""
    today, found = time.strftime("%Y-%m-%d"), []
    for one in re.split(r"^\s*- |\{", _block(text, "crew"), flags=re.M):
        initials, until, name = _INITIALS.search(one), _UNTIL.search(one), _NAME.search(one)
        if initials and not (until and until[1] < today) and is_plain(initials[1]):
            found.append((initials[1], name[1].strip() if name and name[1].isprintable() else ""))
    return list(dict.fromkeys(found))


def stores(text: str) -> dict[str, str]:
    """Prefix of a berth → the store it is in."""
    return {prefix: store.strip() for prefix, store in _PAIR.findall(_block(text, "stores")) if is_plain(prefix) and is_plain(store.strip())}


def berths(root: str, begun: str, known: list[str]) -> tuple[list[str], set[str]]:
    """(berths and parts of such that begin so, those behind which more follows). Of an index there is, each part is one look; without
    it only the stores are known."""
    from caskbook.index.berth_parts import berth_parts

    found = [one for one in berth_parts(root, begun) if is_plain(one)]
    if not found:
        found = [prefix for prefix in known if prefix.startswith(begun)]
        return found, set(found)
    return found, {one for one in found if one.endswith("/")}


def events(root: str, cask: str) -> list[str]:
    """The entries of a cask, the last first, each with its day and job."""
    blocks = re.split(rb"^  - ", _own_bytes(root, _MOST_CASK, "casks", cask[:-3], f"{cask}.yaml"), flags=re.M)[1:]
    found = []
    for block in reversed(blocks):
        parts = [one.search(block) for one in (_EVENT, _DAY, _JOB)]
        if parts[0] is not None:
            said = " ".join(one[1].decode("ascii", "replace") for one in parts[1:] if one is not None)
            found.append(f"{parts[0][1].decode()}\t{said}" if said.isprintable() else parts[0][1].decode())
    return found
