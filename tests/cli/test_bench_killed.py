"""A bench that is killed at any moment: each line is in the book whole or not at all, and none before the one being written is lost."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Collection
from pathlib import Path
from typing import Any

import pytest
import warm
import yaml
from commands import caskbook
from entry.shop import HOUSE, Shop, days_ago

from caskbook.ledger.atomic_write import ledger_lock
from caskbook.ledger.pending_writes import recover

pytestmark = pytest.mark.thorough

CAME = {"date": days_ago(30), "job": "receive", "verdict": "accept"}
FULL = {"date": days_ago(9), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 12}
LINES = (
    "shift ab", "test 7005 p --psi 11", "7006 f j3", "undo", "7006 c j3", "rack 7100 --to 7007 7008 --litres-to 90,90 --abv 60 --temp 12 --why leak --left 0 --anyway",
    "note wet", "same 7006", "open 7005..7006 both", "receive next accept --type barrel", "undo", "convert 7005 7006 --into 1 hogshead --as TH-008001 --anyway --why x",
)  # fmt: skip
DRIVER = """
import json, os, random, shutil, signal, sys, time
from caskbook.cli.app import run
from caskbook.core import outcome
import caskbook.cli.entering.bench_lines, caskbook.entry.plan_request, caskbook.entry.write, caskbook.checks.check
top, moments, lines = sys.argv[1], int(sys.argv[2]), json.loads(sys.argv[3])
def child(name, some):
    root = f"{top}/{name}/records"
    shutil.copytree(f"{top}/records", root)
    reading, writing = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.environ["CASKBOOK_STATE"] = f"{top}/{name}/state"
        os.dup2(reading, 0)
        os.close(writing)
        for number in (1, 2):
            os.dup2(os.open(os.devnull, os.O_WRONLY), number)
        sys.stdin = open(0)
        run(["bench", "--records", root])
        os._exit(0)
    os.close(reading)
    os.write(writing, "".join(f"{line}\\n" for line in some).encode())
    os.close(writing)
    return pid
for count in range(len(lines) + 1):
    begun = time.monotonic()
    os.waitpid(child(f"whole-{count}", lines[:count]), 0)
    took = time.monotonic() - begun
dice = random.Random(7)
ended = 0
for n in range(moments):
    pid = child(f"killed-{n}", lines)
    time.sleep(took * dice.random())
    os.kill(pid, signal.SIGKILL)
    ended += not os.WIFSIGNALED(os.waitpid(pid, 0)[1])
print(ended)
"""


def state_of(root: Path) -> str:
    """Cask → the jobs in its file and what they say, ids and sheets aside, which are drawn anew each time."""
    found: dict[str, Any] = {}
    for path in sorted(root.rglob("casks/*/*.yaml")):
        events = yaml.safe_load(path.read_bytes())["events"]
        found[path.stem] = [
            {key: value for key, value in event.items() if key not in ("id", "sheet") and (key != "note" or event["job"] == "note")} for event in events
        ]
    return json.dumps(found, default=str, sort_keys=True)


def states_left(top: Path, moments: int, lawful: Collection[str], monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """The books that runs killed at so many moments left, each completed as whoever writes next does it: lawful ones, and well."""
    seen: set[str] = set()
    for n in range(moments):
        monkeypatch.setenv("CASKBOOK_STATE", str(top / f"killed-{n}/state"))
        root = top / f"killed-{n}/records"
        with ledger_lock(root):
            recover(root)
        now = state_of(root.parent)
        assert now in lawful, f"killed-{n}: it is there in part"
        if now not in seen:
            assert caskbook("check", "--records", str(root)).returncode == 0
        seen.add(now)
    return seen


@pytest.mark.parametrize("moments", [40, pytest.param(200, marks=pytest.mark.slow)])
def test_each_line_is_there_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, moments: int) -> None:
    house = Shop(tmp_path, HOUSE)
    for cask in ("TH-007005", "TH-007006", "TH-007007", "TH-007008"):
        house.put(CAME, cask=cask)
    house.put(CAME, FULL, cask="TH-007100")
    ran = subprocess.run([warm.REAL, "-c", DRIVER, str(tmp_path), str(moments), json.dumps(LINES)], capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert int(ran.stdout) < moments // 2, "the greater part was killed while it worked"
    whole = [state_of(tmp_path / f"whole-{count}") for count in range(len(LINES) + 1)]
    assert len(set(whole)) == len(LINES) - 2, "each line but the shift and those taken back made another book"
    seen = states_left(tmp_path, moments, whole, monkeypatch)
    assert len(seen) > 4, "the moments fell into several lines"
