"""Many files on all cores: order, errors, memory, and that nothing is left running."""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import subprocess
import textwrap
import time
from functools import partial
from pathlib import Path

import pytest
import warm
from bulk_work import (
    added,
    all_added,
    all_fail_at_seven,
    cannot_be_pickled,
    cannot_open,
    collecting,
    dies,
    fails_at_seven,
    opened,
    refuses_at_seven,
    slowest_first,
)

from caskbook.core.finding import CaskbookError
from caskbook.ledger.parallel import Together, map_files

pytestmark = pytest.mark.thorough

OPEN = partial(opened, 100)


@pytest.fixture(autouse=True)
def _nothing_left_running() -> object:
    yield
    assert not multiprocessing.active_children()


@pytest.mark.parametrize("few", [0, 10_000])
def test_results_come_in_order_and_once(few: int) -> None:
    assert list(map_files(OPEN, range(500), added, few=few, processes=2)) == list(range(100, 600))
    assert list(map_files(OPEN, range(99), slowest_first, few=few, processes=3)) == list(range(99))


def test_nothing_is_nothing() -> None:
    assert list(map_files(OPEN, [], added)) == []


def test_a_new_interpreter_does_as_well_as_a_fork(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("caskbook.ledger.parallel._context", lambda: multiprocessing.get_context("spawn"))
    assert list(map_files(OPEN, range(40), added, few=0, processes=2)) == list(range(100, 140))


@pytest.mark.parametrize("few", [0, 10_000])
def test_progress_ends_at_the_last(few: int) -> None:
    seen: list[int] = []
    list(map_files(OPEN, range(300), added, few=few, processes=2, progress=seen.append))
    assert seen == sorted(seen) and seen[-1] == 300


@pytest.mark.parametrize("few", [0, 10_000])
def test_a_fault_in_a_worker_is_one_error_that_names_the_file(few: int) -> None:
    with pytest.raises(CaskbookError, match="^7: ValueError: seven is wrong$"):
        list(map_files(OPEN, range(50), fails_at_seven, few=few, processes=2))
    with pytest.raises(CaskbookError, match="^cannot read seven$"):
        list(map_files(OPEN, range(50), refuses_at_seven, few=few, processes=2))
    with pytest.raises(CaskbookError, match=r"^no house\.yaml here$"):
        list(map_files(cannot_open, range(50), added, few=few, processes=2))


@pytest.mark.parametrize("few", [0, 10_000])
def test_items_worked_on_together_come_one_by_one(few: int) -> None:
    assert list(map_files(OPEN, range(503), Together(all_added, 5), few=few, processes=2)) == list(range(100, 603))
    with pytest.raises(CaskbookError, match="^7: ValueError: seven is wrong$"):
        list(map_files(OPEN, range(50), Together(all_fail_at_seven), few=few, processes=2))


def test_what_came_before_a_fault_is_given() -> None:
    got: list[int] = []
    with pytest.raises(CaskbookError):
        got.extend(map_files(OPEN, range(400), partial(_fails_late, 350), few=0, processes=2))
    assert got == list(range(len(got))) and len(got) >= 300


def _fails_late(limit: int, number: int, item: int) -> int:
    if item >= limit:
        raise ValueError(item)
    return item


def test_a_worker_that_dies_is_an_error_and_no_hang() -> None:
    for _ in range(5):  # told by the result, or already by the next order
        with pytest.raises(CaskbookError, match="worker process ended"):
            list(map_files(OPEN, range(5000), dies, few=0, processes=2))


def test_a_result_that_cannot_travel_is_an_error() -> None:
    with pytest.raises(CaskbookError, match="pickle"):
        list(map_files(OPEN, range(50), cannot_be_pickled, few=0, processes=2))


def test_stopping_half_way_ends_the_processes() -> None:
    results = map_files(OPEN, range(1000), slowest_first, few=0, processes=2)
    assert [next(results), next(results)] == [0, 1]
    results.close()  # type: ignore[attr-defined]


@pytest.mark.parametrize("few", [0, 10_000])
def test_garbage_is_not_collected_while_files_are_read(few: int) -> None:
    assert not any(map_files(OPEN, range(20), collecting, few=few, processes=2))
    assert gc.isenabled()


def test_no_more_is_worked_out_than_is_soon_taken(tmp_path: Path) -> None:
    """Memory stays bounded when whoever takes the results is slow."""
    log = tmp_path / "log"
    results = map_files(partial(_logged_to, str(log)), range(2000), _logs, few=0, processes=2)
    next(results)
    time.sleep(0.3)
    assert 0 < log.stat().st_size < 1200
    results.close()  # type: ignore[attr-defined]


def _logged_to(path: str) -> str:
    return path


def _logs(path: str, item: int) -> int:
    with open(path, "a", encoding="ascii") as log:  # noqa: PTH123
        log.write("x")
    return item


SCRIPT = textwrap.dedent(
    """
    import os, sys, time
    from caskbook.ledger.parallel import map_files

    def opened():
        os.write(1, b"pid %d\\n" % os.getpid())  # in one piece: two processes say it at once

    def work(_, item):
        time.sleep(0.001)
        return item

    if __name__ == "__main__":
        try:
            for found in map_files(opened, range(100_000), work, few=0, processes=2):
                if found == 0:
                    print("begun", flush=True)
        except KeyboardInterrupt:
            sys.exit(130)
    """
)


def _lives(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    state = Path(f"/proc/{pid}/stat")
    return not state.exists() or state.read_text(encoding="ascii").rpartition(")")[2].split()[0] != "Z"


def _gone(pids: list[int]) -> bool:
    for _ in range(100):
        if not any(map(_lives, pids)):
            return True
        time.sleep(0.05)
    return False


@pytest.mark.skipif(os.name != "posix", reason="signals of a terminal")
@pytest.mark.parametrize(
    ("whole_group", "sign", "code"), [(True, signal.SIGINT, 130), (False, signal.SIGINT, 130), (False, signal.SIGKILL, -9), (False, signal.SIGTERM, -15)]
)
def test_ctrl_c_leaves_no_process(tmp_path: Path, whole_group: bool, sign: signal.Signals, code: int) -> None:
    script = tmp_path / "many.py"
    script.write_text(SCRIPT, encoding="utf-8")
    run = subprocess.Popen([warm.REAL, str(script)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True)
    assert run.stdout is not None and run.stderr is not None
    pids: list[int] = []
    for line in run.stdout:
        if line == "begun\n":
            break
        pids.append(int(line.split()[1]))
    (os.killpg if whole_group else os.kill)(run.pid, sign)
    with run:
        _, complaint = run.communicate(timeout=20)
    assert run.returncode == code and complaint == ""
    assert len(pids) == 2 and _gone(pids)
