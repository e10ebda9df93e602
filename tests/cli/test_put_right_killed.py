"""Killed at any moment, what puts many casks right, and a sheet read, has been written on all of its casks or on none."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path

import pytest
import warm
from cli.test_bench_killed import state_of, states_left
from entry.shop import Shop, days_ago
from entry.states import STATES
from laws import many

pytestmark = pytest.mark.thorough

READY = STATES["ready"] or []
CASKS = [f"TH-0070{number:02}" for number in range(12)]
WRONG = days_ago(1)
ALL = ("--why", "misread", "--by", "ab", "--yes")
COMMANDS = {
    "redate": ["redate", "--sheet", "B-17", "--date", str(days_ago(3)), "--yes"],
    "move-event": ["move-event", "--sheet", "B-17", "--map", "7000..7010=7001..7011,7011=7000", *ALL],
    "void": ["void", "--sheet", "B-17", *ALL],
    "correct": ["correct", "7000..7011", "--type", "hogshead", "--capacity", "250", *ALL],
    "undo": ["undo", "--yes"],
    "sheet": ["enter", "sheet", "tuesday.csv", "--yes"],
}
MOMENTS = {"sheet": 60}
ROWS = "date,job,cask,by,note\n" + "".join(f"{days_ago(1)},note,{cask},ab,row of {cask}\n" for cask in CASKS)
DRIVER = """
import json, os, random, shutil, signal, sys, time
from pathlib import Path
from run_notes import believed
from caskbook.cli.app import run
import caskbook.cli.commands.correct, caskbook.cli.commands.redate, caskbook.cli.commands.move_sheet, caskbook.cli.commands.undo_files
import caskbook.cli.commands.enter, caskbook.entry.plan_request, caskbook.entry.write, caskbook.entry.redate, caskbook.entry.move_sheet, caskbook.checks.check
top, moments, words = sys.argv[1], int(sys.argv[2]), json.loads(sys.argv[3])
def child(name):
    root = f"{top}/{name}/records"
    shutil.copytree(f"{top}/records", root)
    shutil.copy(f"{top}/tuesday.csv", f"{top}/{name}")
    pid = os.fork()
    if pid == 0:
        os.environ["CASKBOOK_STATE"] = f"{top}/{name}/state"
        believed(Path(root))
        for number in (0, 1, 2):
            os.dup2(os.open(os.devnull, os.O_RDWR), number)
        sys.stdin = open(0)
        os.chdir(f"{top}/{name}")
        os._exit(run([*words, "--records", root]))
    return pid
begun = time.monotonic()
code = os.waitstatus_to_exitcode(os.waitpid(child("whole"), 0)[1])
took = time.monotonic() - begun
dice = random.Random(7)
for n in range(moments):
    pid = child(f"killed-{n}")
    time.sleep(took * (0.3 + 0.7 * dice.random()))
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
print(code)
"""


@pytest.mark.parametrize("command", [pytest.param(one, marks=() if one in ("undo", "sheet") else pytest.mark.slow) for one in COMMANDS])
def test_all_of_it_is_there_or_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str) -> None:
    shop = Shop(tmp_path)
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    for number, cask in enumerate(CASKS):
        shop.put(*READY, {"date": WRONG, "job": "note", "note": f"row {number}", "sheet": "B-17"}, cask=cask)
    if command == "undo":
        assert shop.enter("note", *CASKS, "--note", "x", "--by", "ab", "--yes").code == 0
    (tmp_path / "tuesday.csv").write_text(ROWS, encoding="utf-8")
    before, moments = state_of(tmp_path), many(MOMENTS.get(command, 60))
    env = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])}
    ran = subprocess.run(
        [warm.REAL, "-c", DRIVER, str(tmp_path), str(moments), json.dumps(COMMANDS[command])], capture_output=True, text=True, check=False, env=env
    )
    assert ran.returncode == 0 and ran.stdout == "0\n", (ran.stdout, ran.stderr)
    after = state_of(tmp_path / "whole")
    assert after != before
    states_left(tmp_path, moments, (before, after), monkeypatch)
