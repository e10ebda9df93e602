"""For every job one whole entry, and from it every entry with one field missing or wrong."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

from casks import ev

from caskbook.model.jobs import JOBS

LEAK = "e0000002"
RECEIVED = ev("2020-01-01", "receive", verdict="accept", berth="W1/01/1/1", stow="bilge")
_READY = [RECEIVED, ev("2020-01-02", "examine", verdict="sound"), ev("2020-01-02", "test", psi=9, result="pass")]
_FULL = [*_READY, ev("2020-01-03", "fill", spirit="malt", litres=190, abv=63.5, temp_c=14, oak_since=date(2020, 1, 3))]
_OPEN = [*_READY, ev("2020-01-03", "open", heads=["A", "B"])]
_LEAKING = [*_FULL, ev("2020-02-01", "leak", at="joint-3", severity="weep")]
_SHOOK = [*_READY, ev("2020-01-03", "knock-down")]
_AWAY = [*_READY, ev("2020-01-03", "send", to="shop-kiln", why="heads")]
_LOST = [*_READY, ev("2020-01-03", "missing")]
LIVES = (_READY, _FULL, _OPEN, _LEAKING, _SHOOK, _AWAY, _LOST)
_STATES = {"new": [], "ready": _READY, "open": _OPEN, "shook": _SHOOK, "filled": _FULL, "wine": _FULL, "away": _AWAY, "missing": _LOST}

# job: (what came before, the fields of a whole entry)
WHOLE: dict[str, tuple[list[dict[str, Any]], dict[str, Any]]] = {
    "receive": ([], {"verdict": "accept", "findings": [{"at": "stave-4", "defect": "cracked", "severity": 2}], "contents": "spirit", "spirit": "malt", "litres": 180, "abv": 61.5,
                     "temp_c": 12, "oak_since": date(2018, 1, 1), "berth": "W1/01/1/1", "stow": "bilge", "form": "whole", "residue_l": 2, "claim_by": date(2020, 3, 1)}),
    "raise": (_SHOOK, {"staves": 31}),
    "convert": (_READY, {"children": ["TH-009001"], "staves": 20}),
    "made-from": ([], {"parents": [{"cask": "TH-000001", "staves": 20}], "inherited": {"fills_life": 3, "fills_since_char": 2}}),
    "examine": (_READY, {"verdict": "repair", "findings": [{"at": "stave-4", "defect": "cracked", "severity": 2}], "stave_mm": 22, "soaked": 0.3}),
    "nose": (_READY, {"verdict": "fault", "faults": ["musty"]}),
    "treat": (_READY, {"method": "rinse", "for": "taint", "hours": 3, "litres_out": 4}),
    "soak": (_READY, {"method": "cold", "hours": 24}),
    "test": (_READY, {"method": "air", "psi": 7, "result": "fail", "leaks": [{"at": "joint-3"}], "water_l": 3, "minutes": 10, "work_minutes": 25, "material": ["rush", "2 hoops"], "photo": ["photos/joint-3.jpg"]}),
    "measure": (_READY, {"capacity_l": 199, "tare_kg": 52, "dims_mm": {"bung": 660, "head": 560, "length": 840}, "staves": 30, "heads": [5, 6], "hoops": 8, "stave_mm": 24}),
    "drive": (_LEAKING, {"hoops": ["A-1"], "closes": "e0000005"}),
    "hoop": (_READY, {"hoops": ["A-1"], "from": "new", "hoops_after": 7}),
    "stave": (_OPEN, {"staves": [3], "action": "replace", "from": "new", "staves_after": 31}),
    "head": (_OPEN, {"head": "A", "action": "replace", "from": "new", "mark": "TH 4217", "pieces_after": 6}),
    "flag": (_READY, {"at": ["joint-3"]}),
    "peg": (_LEAKING, {"at": "joint-3", "kind": "spile"}),
    "bung": (_READY, {"action": "moved", "to": 4, "bore_mm": 50}),
    "open": (_READY, {"heads": ["A"]}),
    "close": (_OPEN, {"heads": ["A", "B"]}),
    "knock-down": (_READY, {"staves": 31}),
    "swap-heads": (_OPEN, {"with": "TH-000002", "heads": ["A"], "why": "found so"}),
    "shave": (_OPEN, {"method": "flail", "depth_mm": 2, "stave_mm": 22}),
    "toast": (_OPEN, {"level": "medium", "minutes": 20}),
    "char": (_OPEN, {"level": 3, "seconds": 40, "depth_mm": 3, "heads": "plain", "fuel": "gas"}),
    "sulphur": (_READY, {"grams": 5, "why": "winter"}),
    "season": (_READY, {"wine": "oloroso", "litres": 190, "until": date(2021, 1, 1)}),
    "fill": (_READY, {"spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 14, "method": "meter", "berth": "W1/02/1/1", "stow": "bilge", "oak_since": date(2020, 1, 3),
                      "vat": "V 12", "vat_litres": 2000}),
    "rack-out": (_FULL, {"to": [{"cask": "TH-000002", "litres": 100, "abv": 60}], "left_l": 80, "lost_l": 1, "why": "marry"}),
    "rack-in": (_READY, {"from": [{"cask": "TH-000002", "litres": 100, "abv": 60}], "spirit": "malt", "oak_since": date(2019, 1, 1), "berth": "W1/02/1/1"}),
    "draw": (_FULL, {"litres": 20, "abv": 60, "temp_c": 14}),
    "top": (_FULL, {"litres": 20, "abv": 60, "temp_c": 14, "from": "tank 2", "oak_since": date(2019, 1, 1)}),
    "regauge": (_FULL, {"litres": 180, "abv": 62, "temp_c": 14, "method": "meter"}),
    "sample": (_FULL, {"ml": 100}),
    "leak": (_FULL, {"at": "joint-3", "severity": "drip", "look_again": date(2020, 8, 1)}),
    "look": (_LEAKING, {"seen": "dry", "at": "joint-3", "closed_as": "took-up"}),
    "empty": (_FULL, {"litres": 170, "abv": 60, "temp_c": 14, "method": "meter", "why": "drawn"}),
    "grade": (_FULL, {"of": "e0000004", "grade": "B"}),
    "move": (_READY, {"berth": "W1/09/1/1", "stow": "bilge"}),
    "send": (_READY, {"to": "shop-kiln", "why": "heads"}),
    "return": (_AWAY, {"verdict": "accept", "done": ["head A new"], "berth": "W1/02/1/1", "stow": "bilge"}),
    "hold": (_READY, {"why": "smell"}),
    "release": ([*_READY, ev("2020-01-03", "hold", why="smell")], {"why": "aired", "approved_by": "kd"}),
    "mark": (_READY, {"text": "new mark", "kind": "paint", "at": "head-A", "old": "old mark"}),
    "decide": (_READY, {"rule": "examine", "outcome": "defer", "until": date(2026, 1, 1), "litres": 3, "ref": "x", "why": "later", "approved_by": "kd"}),
    "retire": (_READY, {"reasons": ["thin"], "approved_by": "kd"}),
    "break-up": ([*_READY, ev("2020-01-03", "retire", reasons=["thin"], approved_by="kd")], {"staves_saved": 20, "heads_saved": 1, "hoops_saved": 4}),
    "dispose": (_READY, {"how": "sold", "to": "a grower"}),
    "missing": (_READY, {}),
    "found": (_LOST, {"berth": "W1/02/1/1", "stow": "bilge"}),
    "moved": (_READY, {"of": "e0000003", "to": "TH-000002", "why": "wrong cask"}),
    "correct": (_READY, {"type": "hogshead", "capacity_l": 250, "wood": "sessile-oak", "maker": "a shop", "made": 2001, "staves": 30, "heads": [5, 6], "hoops": 8,
                         "was": ["old mark"], "owner": "a house", "prior": [{"contents": "bourbon", "fills": 1}], "charred": 2011, "parcel": "P-1", "supplier": "ashgarth", "why": "misread"}),
    "same-as": (_READY, {"of": "TH-000002", "why": "one cask"}),
    "note": (_READY, {"note": "seen"}),
    "void": (_READY, {"of": "e0000003", "why": "wrong"}),
}  # fmt: skip
MISSING = object()
WRONG: tuple[Any, ...] = (MISSING, "no such thing!", 8.5e11, -3, [], {"a": 1}, None, True)
USUAL_WRONG = WRONG[:2]
AFTER = (ev("2024-05-02", "note", note="seen"),)


def whole_of(job: str) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """What came before a whole entry of the job, and its fields: those above, else what `enter` makes of the words of its case in `tests/entry/test_every_job.py`."""
    if job in WHOLE:
        return WHOLE[job]
    from entry.shop import Shop
    from entry.test_every_job import BY_JOB, arranged, typed

    case = BY_JOB[job]
    with tempfile.TemporaryDirectory() as folder:
        shop = Shop(Path(folder))
        ran = shop.enter(*typed(arranged(shop, case, case.good[0])), "--by", "ab")
        assert ran.code == 0, ran.err
        entry = shop.data()["events"][-1]
    return _STATES[case.good[0]], {key: value for key, value in entry.items() if key not in ("id", "date", "job", "by")}


def spoilt(job: str) -> Iterator[tuple[str, Any, list[dict[str, Any]]]]:
    """(field, wrong value, the events) for every field of the job and every way to get it wrong."""
    before, whole = whole_of(job)
    fields = [(field.alias or name) for name, field in JOBS[job].model_fields.items()]
    for field in fields:
        for wrong in WRONG:
            if field == "job":
                continue
            entry = {**ev("2023-04-05", job), **whole, field: wrong}
            if wrong is MISSING:
                del entry[field]
            yield field, wrong, [*before, entry, *AFTER]
