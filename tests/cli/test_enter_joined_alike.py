"""What is typed on a cask of two numbers is told and judged as on one that bears all of its entries under one number."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from entry.shop import Shop, days_ago

pytestmark = pytest.mark.thorough

OLD, NEW, PLAIN, OTHER, FULL = "TL-000009", "TH-004217", "TH-000100", "TH-000200", "TH-000300"
Events = list[dict[str, Any]]
CAME: Events = [
    {"id": "a0000001", "date": days_ago(400), "job": "receive", "verdict": "accept"},
    {"id": "a0000002", "date": days_ago(399), "job": "measure", "capacity_l": 185, "tare_kg": 50, "dims_mm": {"bung": 650, "head": 560, "length": 850}},
    {"id": "a0000003", "date": days_ago(398), "job": "examine", "verdict": "sound"},
]
SEEN = {"id": "a0000004", "date": days_ago(5), "job": "examine", "verdict": "sound"}
BENCH: Events = [
    *CAME,
    {"id": "a0000004", "date": days_ago(60), "job": "char", "level": 3},
    {"id": "a0000005", "date": days_ago(20), "job": "examine", "verdict": "repair", "findings": [{"defect": "crack", "at": "stave-4"}]},
]
FILL = {"id": "a0000004", "date": days_ago(391), "job": "fill", "spirit": "malt", "litres": 180, "abv": 63.5, "temp_c": 20}
FILLED: Events = [*CAME, FILL, {"id": "a0000005", "date": days_ago(390), "job": "move", "berth": "W1/05/2"}]
LEAKING: Events = [*FILLED, {"id": "a0000006", "date": days_ago(9), "job": "leak", "at": "head-A-2", "severity": "weep"}]
OPEN: Events = [*CAME, {"id": "a0000004", "date": days_ago(9), "job": "open", "heads": ["A", "B"]}]
HELD: Events = [*CAME, {"id": "a0000004", "date": days_ago(9), "job": "hold", "why": "label in doubt"}]
JOIN: Events = [{"id": "n0000001", "date": days_ago(400), "job": "receive", "verdict": "accept"},
                {"id": "n0000002", "date": days_ago(90), "job": "same-as", "of": OLD, "why": "two numbers"}]  # fmt: skip
STATES = {"unseen": CAME, "ready": [*CAME, SEEN], "bench": BENCH, "filled": FILLED, "leaking": LEAKING, "open": OPEN, "held": HELD}

LINES = {
    "note": "note CASK --note x",
    "fill": "fill CASK --spirit malt --litres 180 --abv 63 --temp 20",
    "fill more": "fill CASK --spirit malt --litres 196 --abv 63 --temp 20",
    "draw": "draw CASK --litres 5 --abv 63 --temp 15",
    "sample": "sample CASK --ml 100",
    "gauge": "regauge CASK --gross 190 --abv 62 --temp 20 --method weigh",
    "little": "regauge CASK --litres 60 --abv 62 --temp 20 --method meter",
    "top": "top CASK --litres 5 --abv 63 --temp 15 --spirit rum --from V1",
    "empty": "empty CASK --litres 170 --abv 62 --temp 20",
    "move": "move CASK --berth W1/09/1",
    "leak": "leak CASK --at joint-3 --severity run",
    "look": "look CASK --seen dry --at head-A-2",
    "test": "test CASK pass --psi 11",
    "drive": "drive CASK --hoops all",
    "char": "char CASK --level 3",
    "close": "close CASK --heads A,B",
    "stave": "stave CASK replace --staves 4 --from new",
    "nose": "nose CASK clean",
    "soak": "soak CASK --method hot --hours 4",
    "knock": "knock-down CASK",
    "retire": "retire CASK --reasons thin --approved-by kd",
    "send": "send CASK --to shop-north --why re-char",
    "dispose": "dispose CASK --how sold",
    "release": "release CASK --why sound --approved-by kd",
    "season": "season CASK --wine oloroso --litres 180",
    "swap": f"swap-heads CASK --with {OTHER} --heads A --why mixed",
    "swapped": f"swap-heads {OTHER} --with CASK --heads A --why mixed",
    "rack out": f"rack CASK --to {OTHER} --litres 170 --abv 62 --temp 20 --left 0 --why blend",
    "rack in": f"rack {FULL} --to CASK --litres 170 --abv 62 --temp 20 --left 0 --why blend",
    "convert": "convert CASK --into 1 hogshead --first-id TH-000900 --gave 20 --capacity 250",
    "correct": "correct CASK --maker x --why x",
    "early": f"sample CASK --ml 100 --date {days_ago(200)}",
    "too early": f"sample CASK --ml 100 --date {days_ago(395)}",
}  # fmt: skip


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    monkeypatch.chdir(tmp_path)
    made = Shop(tmp_path)
    made.put(*CAME, SEEN, cask=OTHER)
    made.put(*FILLED[:4], cask=FULL)
    made.put(*JOIN, cask=NEW)
    return made


def told(line: str, cask: str) -> tuple[int, list[str]]:
    """Code, and what is said of the cask, whichever number it bears and wherever the lines of its file stand."""
    ran = caskbook("enter", *line.replace("CASK", cask).split(), "--yes", "--dry-run")
    return ran.returncode, re.sub(r"\bg[0-9a-z]{7}\b", "ID", ran.stderr.replace(cask, "CASK")).splitlines()


@pytest.mark.parametrize("last", [OLD, NEW])
@pytest.mark.parametrize("state", STATES)
def test_it_is_told_as_one_cask(shop: Shop, state: str, last: str):
    """`last`: under which number the last entry stands; the others stand under the one that does not go on."""
    events, unlike = STATES[state], []
    shop.put(*events[: None if last == OLD else -1], cask=OLD)
    shop.put(*sorted((*JOIN, *(events[-1:] if last == NEW else ())), key=lambda one: (one["date"], one["id"])), cask=NEW)
    for line in LINES.values():
        shop.put(*events, cask=PLAIN)
        alone = told(line, PLAIN)
        shop.path(PLAIN).unlink()
        both = told(line, NEW)
        unlike += [f"{line}:\n  {alone}\n  {both}"] if alone != both else []
    assert not unlike, "\n".join(unlike)
