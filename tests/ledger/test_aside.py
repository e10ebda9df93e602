"""One piece of work beside this process: its outcome, its faults, and that no process is left, whatever ends either of the two."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import NoReturn

import pytest

from caskbook.core.finding import CaskbookError
from caskbook.ledger import aside
from caskbook.ledger.aside import Aside

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="elsewhere no process is forked")


@pytest.fixture(autouse=True)
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    """The thread of the test's own runner holds no lock that is wanted."""
    monkeypatch.setattr(aside, "cores", lambda: 2)
    monkeypatch.setattr(aside.threading, "active_count", lambda: 1)


def refused() -> NoReturn:
    raise CaskbookError("no such day")


def broken() -> NoReturn:
    raise KeyError("a\nb")


def killed() -> NoReturn:
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError


def children() -> list[int]:
    return [int(one) for one in Path(f"/proc/{os.getpid()}/task/{os.getpid()}/children").read_text().split()]


def test_what_was_begun_is_done_by_another_process_and_what_was_not_by_this_one() -> None:
    before = children()
    with Aside(os.getpid) as begun, Aside(os.getpid) as not_begun:
        begun.begin()
        begun.begin()
        assert begun() not in (os.getpid(), os.getppid())
        assert begun() == not_begun() == os.getpid(), "asked again, or never begun"
    assert children() == before


def test_where_nothing_can_be_forked_the_work_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(aside, "cores", lambda: 1)
    with Aside(os.getpid) as work:
        work.begin()
        assert work() == os.getpid()


@pytest.mark.parametrize(
    ("work", "said"), [(refused, "no such day"), (broken, r"KeyError: 'a\\nb'"), (killed, "a worker process ended before its work was done")]
)
def test_a_fault_of_the_other_process_is_told_here(work: object, said: str) -> None:
    before = children()
    with Aside(work) as asked:  # type: ignore[arg-type,var-annotated]
        asked.begin()
        with pytest.raises(CaskbookError, match=said):
            asked()
    assert children() == before


def test_work_that_nobody_waits_for_any_more_ends() -> None:
    before, since = children(), time.monotonic()
    with pytest.raises(KeyError), Aside(lambda: time.sleep(60)) as asked:
        asked.begin()
        raise KeyError
    assert children() == before and time.monotonic() - since < 20


ALONE = """
import os, time
from caskbook.ledger import aside
aside.cores = lambda: 2
with aside.Aside(lambda: time.sleep(60)) as work:
    BEGIN
    print(work._child, flush=True)
    time.sleep(60)
"""


@pytest.mark.thorough
@pytest.mark.parametrize("begin", ["work.begin()", "pass"])
def test_it_ends_soon_after_the_process_that_it_works_for_is_killed(begin: str) -> None:
    with subprocess.Popen([sys.executable, "-c", ALONE.replace("BEGIN", begin)], stdout=subprocess.PIPE, text=True) as parent:
        assert parent.stdout is not None
        child = int(parent.stdout.readline())
        assert Path(f"/proc/{child}").exists()
        parent.kill()
    until = time.monotonic() + 30
    while Path(f"/proc/{child}").exists() and "Z" not in Path(f"/proc/{child}/stat").read_text().rpartition(")")[2].split()[0]:
        assert time.monotonic() < until, "it goes on for nobody"
        time.sleep(0.1)
