"""FolderStamps written out as a ledger of YAML files, and what the second fold tells of each cask in it."""

from __future__ import annotations

import json
import random
from datetime import date
from pathlib import Path
from typing import Any

import yaml

from second.compare import CREW, plain
from second.dues import dues
from second.facts import facts
from second.fold import folded
from second.histories import file_store
from second.joined import Files, goes_on_as, half_moves, joined_to


def write(root: Path, house: dict[str, Any], seed: int, folder_stamps: int, length: int) -> Files:
    """A ledger of so many folder_stamps of three casks; its files by number."""
    files: Files = {}
    for n in range(folder_stamps):
        text = json.dumps(file_store(random.Random(seed + n), house, length)).replace("TH-0042", f"TH-{n + 100}2")
        files.update(json.loads(text))
    hold_copies(random.Random(seed), files)
    root.mkdir(parents=True)
    (root / "house.yaml").write_text(yaml.safe_dump({**house, **CREW}))
    for name, data in files.items():
        path = root / "casks" / name[:-3] / f"{name}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(yaml.safe_dump(data, sort_keys=False))
    return files


def hold_copies(dice: random.Random, files: Files) -> None:
    """Most entries that were moved stand in the other file too, where it has not ended: voided there, for what they do is no matter here."""
    for n, (name, event, other) in enumerate(half_moves(files)):
        target = next((one for one in files[name]["events"] if one["id"] == event), None)
        if other in files and target is not None and dice.random() < 0.8:
            own = files[other]["events"]
            day = max(str(one["date"]) for one in own)
            copy = {key: value for key, value in target.items() if key not in ("replaces", "answers", "closes", "of")}
            own.append({**copy, "id": f"zzz{n:05d}", "moved_from": f"{name}/{event}"})
            own.append({"id": f"zzz{n:05d}v", "date": day, "job": "void", "by": "ab", "of": f"zzz{n:05d}", "why": "copied"})
            own.sort(key=lambda one: (str(one["date"]), one["id"]))


def told(files: Files, house: dict[str, Any], day: date) -> dict[str, dict[str, Any]]:
    """The facts of every cask that a list shows: those that go on, and have begun by the day."""
    found = {}
    for name, data in files.items():
        if goes_on_as(name, files) is None:
            fold = folded(data, house, day, [files[old] for old in joined_to(name, files)])
            mine = facts(fold, day)
            if mine["state"] is not None:
                found[name] = plain(mine) | {"joined": sorted(joined_to(name, files)), "due": dues(fold, day)}
    return found
