"""Options that several rooms' tests share; and a state folder of their own, so that no test touches the user's."""

from __future__ import annotations

import gc
import os
import shutil
import sys
import tempfile
from collections.abc import Generator
from pathlib import Path

import bytecode
import laws
import pytest
import warm
from hypothesis import settings

import caskbook

CHECKOUT = Path(__file__).resolve().parents[1]

# Where bytecode is not written by a setting of the machine (`python -B` is a wish for this very run, and is kept), each of some hundred
# processes, and each worker, would compile everything anew: so that of the checkout goes into a folder of the tests' own.
if os.environ.get("PYTHONDONTWRITEBYTECODE") and "-B" not in sys.orig_argv and "PYTEST_XDIST_WORKER" not in os.environ:
    os.environ[bytecode.FOLDER] = str(CHECKOUT / ".pytest_cache" / "bytecode")
bytecode.begin()

# A tenth of what Hypothesis does by itself, so that the whole default run stays under a minute, and the same examples every time: a gate
# whose answer hangs on luck says nothing about the change before it. `-m slow` tries every law in full, with examples drawn anew.
settings.register_profile("usual", max_examples=10, deadline=None, derandomize=True, database=None)
settings.register_profile("full", max_examples=100, deadline=None)
settings.load_profile("usual")

# Tests make and remove some ten thousand small files: in memory where that is roomy and programs may be run from it, as hooks are.
MEMORY = Path("/dev/shm")
if "TMPDIR" not in os.environ and MEMORY.is_dir() and os.access(MEMORY, os.W_OK):
    about = os.statvfs(MEMORY)
    if about.f_bavail * about.f_frsize > 2**30 and not about.f_flag & os.ST_NOEXEC:
        os.environ["TMPDIR"] = tempfile.tempdir = str(MEMORY)

# What `-m` says in the default run (pyproject.toml) and in the thorough one (.ci/run), and the line that makes all cases of a file thorough.
USUAL, THOROUGH, THOROUGH_FILE = "not slow and not thorough", "thorough and not slow", "\npytestmark = pytest.mark.thorough\n"
ORDER: dict[pytest.Item | pytest.Collector, int] = {}
"""Folder or file → its place among those beside it, in a process that loads them the other way round; else the order in which it appeared."""
WARM: pytest.StashKey[warm.Warm | None] = pytest.StashKey()
OWN = Path(tempfile.mkdtemp(prefix="caskbook-tests-"))
(OWN / "state").mkdir()
os.environ["CASKBOOK_STATE"] = str(OWN / "state")
os.environ["CASKBOOK_TEST_FOLDER"] = str(OWN)
os.environ.pop("CI", None)  # where it is set, `check` works without an index


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--golden", action="store_true", default=False, help="write the golden files anew instead of comparing; then read the diff")


def pytest_configure(config: pytest.Config) -> None:
    package = Path(caskbook.__file__).resolve().parent
    if package.parent != CHECKOUT and "CASKBOOK_TEST_INSTALLED" not in os.environ:
        raise pytest.UsageError(
            f"these tests would try the copy in {package} and not this checkout: pip install -e '.[test]' (CASKBOOK_TEST_INSTALLED=1 where that is meant)"
        )
    expression = config.getoption("markexpr")
    laws.full = "slow" in expression and "not slow" not in expression
    if laws.full:
        settings.load_profile("full")
        return
    worker = hasattr(config, "workerinput")
    if not worker:
        with bytecode.named_to_processes():
            config.stash[WARM] = warm.started(OWN)
    if worker or not getattr(config.option, "numprocesses", None):  # this process runs tests
        warm.use()
        bytecode.name_to_processes()


def pytest_collection_finish() -> None:
    """What is loaded by now stays to the end: no use in looking through it again and again for what is no longer needed."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(200_000, 10, 10)  # as the program itself has it
    warm.ready(sys.executable)


def pytest_unconfigure(config: pytest.Config) -> None:
    sys.executable = warm.REAL
    loaded = config.stash.get(WARM, None)
    if loaded is not None:
        loaded.end()
    shutil.rmtree(OWN, ignore_errors=True)  # not at exit, which a worker of xdist does not come to


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """A file of which the default run, or the thorough one, would leave out every case is not even loaded, unless it is named."""
    if not collection_path.name.startswith("test_"):
        return None
    expression = config.getoption("markexpr")
    if expression == USUAL:
        return THOROUGH_FILE in collection_path.read_text(encoding="utf-8") or None
    return expression == THOROUGH and "thorough" not in collection_path.read_text(encoding="utf-8") or None


def from_the_end(config: pytest.Config) -> bool:
    """Whether this process loads the files from the last to the first: of two workers each finds half of the bytecode written by the other."""
    return getattr(config, "workerinput", {}).get("workerid") == "gw1" and len(config.args) == 1  # several are taken in the order they are named


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector: pytest.Collector) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    report = yield
    if isinstance(collector, pytest.Directory) and from_the_end(collector.config):
        ORDER.update((node, n) for n, node in enumerate(report.result))
        report.result.reverse()
    return report


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Laws that Hypothesis tries belong to the slow tests as well, with all their examples. The order is the same in every process."""
    if from_the_end(config):
        items.sort(key=lambda item: [ORDER.setdefault(node, len(ORDER)) for node in item.listchain() if isinstance(node, pytest.Directory | pytest.File)])
    if config.getoption("markexpr") == USUAL:
        silent = {item.path for item in items if item.get_closest_marker("thorough")}
        silent -= {path for path in silent if "thorough" in path.read_text(encoding="utf-8")}
        if silent:
            raise pytest.UsageError(f"no word in {', '.join(map(str, sorted(silent)))} says that it has thorough cases: `-m thorough` would not load it")
    for item in items if laws.full else []:
        if getattr(getattr(item, "obj", None), "is_hypothesis_test", False):
            item.add_marker("slow")
