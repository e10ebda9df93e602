"""A run by the loaded process is no other than that of a program that starts: what is printed, how it ends, and what can befall it."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import warm
from outcome.ending import ONE, book, path

pytestmark = pytest.mark.thorough

NOTE = ("enter", "note", ONE, "--note", "seen", "--by", "ab", "--yes")
slow = pytest.mark.slow


@pytest.fixture(scope="module")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The Python that hands its runs to a loaded process: that of all tests, or one made for these where the others start the real one."""
    if sys.executable != warm.REAL:
        yield sys.executable
        return
    folder = Path(tempfile.mkdtemp(prefix="warm-"))
    if not warm.possible(folder):
        pytest.skip("no loaded process on this system")
    made = warm.Warm(folder)
    warm.ready(made.python)
    yield made.python
    made.end()
    shutil.rmtree(folder)


def both(loaded: str, root: Path, *words: str, shell: str = '"$@"', module: bool = True, given: str = "", **environ: str) -> list[tuple[int, str, str]]:
    """Code, stdout and stderr of the real program and of the one that is loaded, run by a line of the shell."""
    found = []
    for python in (warm.REAL, loaded):
        start = [python, "-m", "caskbook"] if module else [str(Path(python).with_name("caskbook"))]
        env = {key: value for key, value in os.environ.items() if key not in environ} | environ
        done = subprocess.run(["bash", "-c", shell, "bash", *start, *words], cwd=root, env=env, capture_output=True, text=True, input=given, check=False)
        found.append((done.returncode, done.stdout, done.stderr))
    return found


@pytest.mark.parametrize(
    "words",
    [
        ("show", ONE, "--as-of", "2026-01-01"),
        *(
            pytest.param(words, marks=slow)
            for words in (
                ("check",),
                ("nothing",),
                ("due", "--help"),
                ("show", "TH-000009"),
                ("--version",),
                ("enter", "test", ONE, "--psi"),
                ("gauge", "head", "--step", "265"),
            )
        ),
    ],
)
def test_the_same_is_printed_and_the_code_is_the_same(loaded: str, tmp_path: Path, words: tuple[str, ...]) -> None:
    book(tmp_path)
    for module in (True, False):
        real, same = both(loaded, tmp_path, *words, module=module)
        assert real == same


@pytest.mark.parametrize(
    "shell",
    [
        '"$@" >/dev/full',
        *(
            pytest.param(shell, marks=slow)
            for shell in ('"$@" >&-', '"$@" | head -c0', '"$@" <&-', '"$@" 2>&-', 'umask 077; "$@"', "trap '' INT; \"$@\"", 'ulimit -c 0; "$@"')
        ),
    ],
)
def test_streams_that_are_closed_or_full_and_what_a_shell_hands_down(loaded: str, tmp_path: Path, shell: str) -> None:
    book(tmp_path)
    real, same = both(loaded, tmp_path, "list", "--as-of", "2026-01-01", shell=shell)
    assert real == same


@pytest.mark.parametrize(
    "environ",
    [
        {"LC_ALL": "C"},
        *(
            pytest.param(environ, marks=slow)
            for environ in (
                {"LC_ALL": "C.UTF-8"},
                {"PYTHONIOENCODING": "ascii"},
                {"LC_ALL": "POSIX", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"},
                {"COLUMNS": "40"},
                {"CASKBOOK_RECORDS": "no/such"},
            )
        ),
    ],
)
def test_the_environment_counts_as_it_does_at_a_start(loaded: str, tmp_path: Path, environ: dict[str, str]) -> None:
    records = book(tmp_path)
    house = (records / "house.yaml").read_text(encoding="utf-8").replace("North House", "Señal – North")
    (records / "house.yaml").write_text(house + "crew_note: señal\n", encoding="utf-8")
    real, same = both(loaded, tmp_path, "check", "--format", "concise", **environ)
    assert real == same


def test_what_is_typed_is_read_and_what_is_entered_is_in_the_file(loaded: str, tmp_path: Path) -> None:
    records = book(tmp_path)
    done = subprocess.run(
        [loaded, "-m", "caskbook", "enter", "scan", "note", "--note", "seen", "--by", "ab"],
        cwd=tmp_path,
        input=f"{ONE}\n",
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0 and b"note: seen" in path(records, ONE).read_bytes(), done.stderr


@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGINT, 130), pytest.param(signal.SIGTERM, 143, marks=slow), pytest.param(signal.SIGKILL, -signal.SIGKILL, marks=slow)]
)
def test_a_signal_to_it_is_one_to_the_run(loaded: str, tmp_path: Path, number: signal.Signals, code: int) -> None:
    records = book(tmp_path)
    for python in (warm.REAL, loaded):
        work = subprocess.Popen(
            [python, "-m", "caskbook", "enter", "scan", "note", "--note", "seen", "--by", "ab"],
            cwd=tmp_path,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert work.stdin is not None
        work.stdin.write(f"{ONE}\n")
        work.stdin.flush()
        until = time.monotonic() + 20
        while path(records, ONE).read_bytes().count(b"note: seen") < (1 if python == warm.REAL else 2) and time.monotonic() < until:
            time.sleep(0.01)
        work.send_signal(number)
        work.wait(timeout=20)  # its input stays open until then, lest it end by that
        out, err = work.communicate()
        assert work.returncode == code and ("written" in err or number == signal.SIGKILL), (python, out, err)


def test_other_code_is_left_to_the_real_python(loaded: str) -> None:
    code = "import sys; print(sys.executable, 'caskbook' in sys.modules)"
    for start in (["-c", code], ["-P", "-c", code]):
        assert subprocess.run([loaded, *start], capture_output=True, text=True, check=True).stdout == f"{warm.REAL} False\n"
