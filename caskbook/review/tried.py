"""Settings that are tried and not written: the text of a house.yaml as it would be, and what each of them says now and then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.ledger.changes import ABSENT
from caskbook.model.house import in_force
from caskbook.model.house_file import HouseFile, read_house
from caskbook.model.house_parts import Supplier
from caskbook.model.house_words import settings, settings_named
from caskbook.review.settings import Path, as_text, put_in
from caskbook.words import CASK_TYPES
from caskbook.words.spelling import did_you_mean
from caskbook.yaml.source import Source
from caskbook.yaml.text import read_yaml
from caskbook.yaml.write import flow_text

_FILE = "house.yaml"
_ASKED_ELSEWHERE = {
    "coopers": "caskbook plan --coopers N tries it", "hours_a_week": "caskbook plan --hours-a-week N tries it", "job_hours": "it is for plan and ready",
    "paper": "it is for what is printed", "label_page": "it is for what is printed", "questions": "it is for query", "name": "it is for headings",
}  # fmt: skip
"""Settings that no due rule reads, and what they are for."""


@dataclass(frozen=True, slots=True)
class Tried:
    """One setting: its key as in review (due.rechar.due_at), what it says on the day asked about, and what it would say."""

    key: str
    now: str
    then: str


def tried(house: HouseFile, words: Sequence[str], day: date) -> tuple[bytes, list[Tried]]:
    """(the text of house.yaml with these settings in it, what each says) of `KEY=VALUE`, values as YAML has them. The value holds on every day.

    CaskbookError for what is no setting, for a value that it does not take, for a key given twice, and where house.yaml itself cannot be read.
    """
    if house.torn:
        raise CaskbookError("house.yaml cannot be read whole, so nothing can be tried on it: caskbook check house.yaml")
    raw, told = house.sound, list[Tried]()
    for word in words:
        path, value = _read(word)
        key = ".".join(path)
        if key in [one.key for one in told]:
            raise CaskbookError(f"--set {key}: given twice")
        told.append(Tried(key, as_text(_value_at(house.sound, path, day)), as_text(value)))
        raw = put_in(raw, path, value)
    text = "".join(f"{key}: {flow_text(value)}\n" for key, value in raw.items()).encode()
    wrong = next((finding for finding in read_house(_FILE, text).findings if finding.severity == "error"), None)
    if wrong is not None:
        raise CaskbookError(f"--set {' '.join(one.key for one in told)}: {wrong.message}")
    return text, told


def _read(word: str) -> tuple[Path, Any]:
    """(path of the setting, its value) of `KEY=VALUE`."""
    key, sign, text = word.partition("=")
    shown = "".join(sign if sign.isprintable() else "?" for sign in word)
    path = tuple(key.strip().split("."))
    if not sign or not text.strip():
        raise CaskbookError(f"--set {shown}: expected KEY=VALUE, as due.rechar.due_at=4")
    _check(path)
    reading = read_yaml(Source.from_bytes("--set", f"value: {text.strip()}\n".encode()))
    if reading.findings or not isinstance(reading.data, dict) or "\n" in word:
        raise CaskbookError(f"--set {shown}: no value of YAML stands behind the =")
    return path, reading.data["value"]


def _check(path: Path) -> None:
    """CaskbookError for a path that is no setting."""
    kind, own = (path[1], path[2:]) if path[0] == "types" and len(path) > 2 else (None, path)
    if kind is not None and kind not in CASK_TYPES:
        raise CaskbookError(f"--set {'.'.join(path)}: {kind} is no type of cask{did_you_mean(kind, list(CASK_TYPES))}")
    if own[0] in _ASKED_ELSEWHERE:
        raise CaskbookError(f"--set {'.'.join(path)}: no due rule reads it; {_ASKED_ELSEWHERE[own[0]]}")
    name = ".".join(own)
    if len(settings_named(name)) == 1 and settings_named(name)[0].name == name:
        return
    if own[0] in ("stores", "suppliers", "wood_left", "measuring_error", "loss_table") and len(own) == 2:
        return
    if own[0] == "suppliers" and len(own) == 3 and own[2] in Supplier.model_fields:
        return
    near = [one.name for one in settings_named(name)]
    names = [one.name for one in settings()]
    hint = f"; did you mean {' or '.join(near)}?" if near else did_you_mean(name, names)
    raise CaskbookError(f"--set {'.'.join(path)}: no setting of house.yaml{hint}; caskbook explain lists them")


def _value_at(raw: dict[str, Any], path: Path, day: date) -> Any:
    """What a setting says on a day: as written, else its default; ABSENT for a line of a map that is not there."""
    value: Any = in_force(raw, day)
    for key in path:
        value = value.get(key, ABSENT) if isinstance(value, dict) else ABSENT
    if value is not ABSENT or path[0] == "types":
        return value
    usual = next((one.default for one in settings() if one.name == ".".join(path)), None)
    return ABSENT if usual is None else read_yaml(Source.from_bytes("default", f"value: {usual}\n".encode())).data["value"]  # type: ignore[index]
