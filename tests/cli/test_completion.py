"""Completion in shells: what is offered at each place of a line, in the shells themselves, and quickly in a large book."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pexpect
import pytest
from cli.completion_tables import tables
from commands import caskbook
from entry.shop import Shop, days_ago

from caskbook.checks.explain import EXPLANATIONS
from caskbook.cli.completing import words as completing
from caskbook.cli.completing.book import crew, ledger_here, stores
from caskbook.cli.completing.scripts import BASH
from caskbook.ledger.folder import find_ledger
from caskbook.model.house_file import read_house

ROOT = Path(__file__).parents[2]
TABLES = ROOT / "caskbook" / "cli" / "completing" / "tables.txt"
HOUSE = """\
name: North House
crew:
  - {initials: ab, name: first bench}
  - {initials: old, until: 2019-03-29}
  - initials: kd
    name: second bench
stores: {W1: warehouse 1, "Y": yard}
shops: [shop-north]
"""
CAME = {"date": days_ago(30), "job": "receive", "verdict": "accept"}


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    made = Shop(tmp_path, HOUSE)
    for cask in ("TH-004217", "TH-004218", "TH-004300", "TH-005001", "HB-000001"):
        made.put(CAME, cask=cask)
    monkeypatch.chdir(tmp_path)
    return made


def offered(*line: str) -> list[str]:
    """What may follow, without what it means. The last word is begun, or empty."""
    return [one.partition("\t")[0] for one in completing.answer(["caskbook", *line]).splitlines()[1:]]


def kind(*line: str) -> str:
    return completing.answer(["caskbook", *line]).splitlines()[0]


def test_the_tables_are_what_the_program_takes(request: pytest.FixtureRequest) -> None:
    """`pytest tests/cli/test_completion.py --golden` writes them anew."""
    if request.config.getoption("--golden"):
        TABLES.write_text(tables(), encoding="utf-8")
    assert TABLES.read_text(encoding="utf-8") == tables()


def test_every_option_offered_is_taken() -> None:
    for name, options in completing.Tables().options.items():
        first, *rest = name.split()
        if first == "enter" or first in ("undo", "void", "move-event", "stamp", "sheet", "shift", "bench"):
            continue
        said = caskbook(first, *rest, "--help").stdout
        assert [one for one in options if one not in said] == [], name


def test_commands_jobs_and_options(shop: Shop) -> None:
    assert {"enter", "bench", "completion", "report"} <= set(offered(""))
    assert offered("com") == ["completion"] and offered("completion", "z") == ["zsh"]
    assert offered("enter", "te") == ["test"] and offered("enter", "shave+ch") == ["shave+char"]
    assert "sheet" in offered("enter", "s") and offered("enter", "scan", "te") == ["test"]
    assert offered("enter", "test", "TH-004217", "--ps") == ["--psi"] and "--commit" in offered("enter", "test", "TH-004217", "--")
    assert "--seconds" in offered("enter", "shave+char", "TH-004217", "--") and "--depth" in offered("enter", "shave+char", "TH-004217", "--")
    assert offered("report", "lo") == ["loss"] and offered("import", "") == ["register", "map"]
    assert offered("due", "--format", "") == ["csv", "ics", "json", "jsonl", "markdown", "text"] and offered("due", "ret") == ["retest", "retire"]
    assert offered("gauge", "volume", "--ab") == ["--abv"] and offered("list", "--type", "hog") == ["hogshead"]
    assert offered("sheet", "--for", "loo") == ["look"] == offered("enter", "sheet", "--type", "loo")
    assert offered("enter", "sheet", "--type", "look", "H") == ["HB-000001"] and "--due" in offered("enter", "sheet", "--")
    assert "bad-event-id" in offered("explain", "bad-") and set(EXPLANATIONS) <= set(offered("explain", ""))


def test_crew_stores_places_and_defects(shop: Shop) -> None:
    assert offered("enter", "test", "TH-004217", "--by", "") == ["ab", "kd"] == offered("shift", "")
    assert offered("enter", "test", "TH-004217", "--by", "=") == ["ab", "kd"] == offered("enter", "test", "TH-004217", "--by", "=", "")
    assert offered("enter", "test", "TH-004217", "--by=") == ["--by=ab", "--by=kd"] and offered("enter", "test", "--by", "=", "k") == ["kd"]
    assert "ab\tfirst bench" in completing.answer(["caskbook", "shift", ""])
    assert offered("list", "--store", "w") == ["warehouse 1"] and offered("enter", "move", "TH-004217", "--berth", "") == ["W1", "Y"]
    assert {"pass", "pinhole", "porous-stave"} <= set(offered("enter", "test", "TH-004217", "p")) and "joint-" in offered("enter", "test", "TH-004217", "j")
    assert "croze-A-" in offered("enter", "flag", "TH-004217", "--at", "cr") and "cracked" in offered("enter", "examine", "TH-004217", "--findings", "cr")
    assert offered("enter", "nose", "TH-004217", "--faults", "mus") == ["musty"] and offered("enter", "open", "TH-004217", "b") == ["both"]


def test_casks_by_the_folder_they_lie_in(shop: Shop) -> None:
    assert offered("show", "T") == ["TH-004", "TH-005"] and kind("show", "T") == "open"
    assert offered("show", "") == ["HB-000", "TH-004", "TH-005"]
    assert offered("show", "TH-004") == ["TH-004217", "TH-004218", "TH-004300"] and kind("show", "TH-004") == "words"
    assert offered("enter", "test", "TH-0042") == ["TH-004217", "TH-004218"] and offered("show", "H") == ["HB-000001"]
    assert offered("enter", "test", "TH-004217", "TH-005") == ["TH-005001"] and offered("enter", "test", "TH-004217..TH-0043") == ["TH-004217..TH-004300"]
    assert offered("enter", "rack", "TH-004217", "--to", "TH-005") == ["TH-005001"]
    assert offered("move-event", "TH-004217", "") == ["e0000001"] == offered("void", "TH-004217", "e")
    assert kind("enter", "sheet", "") == "files" and kind("labels", "--save", "") == "files"


def test_berths_part_by_part_out_of_the_index(shop: Shop) -> None:
    for n, berth in enumerate(("W1/05/2", "W1/05/3", "W1/06/1", "W3/1/1", "Y"), 1):
        shop.put(CAME, {"date": days_ago(20), "job": "move", "berth": berth}, cask=f"TH-00600{n}")
    assert caskbook("list").returncode == 0
    assert offered("enter", "move", "TH-004217", "--berth", "") == ["W1/", "W3/", "Y"]
    assert offered("list", "--berth", "W1/") == ["W1/05/", "W1/06/"] and kind("list", "--berth", "W1/") == "open"
    assert offered("list", "--berth", "W1/05/") == ["W1/05/2", "W1/05/3"]


@pytest.mark.parametrize(
    "text",
    [
        HOUSE,
        "crew:\n- initials: 'ab'\n  name: A\n- initials: kd\n  until: 2010-01-01\n\nname: x\nstores:\n  W1: warehouse 1 # the old one\n  # W2: gone\n  Y: yard\n",
        "crew: [{initials: ab, name: A}, {initials: kd, until: 2999-01-01}]\nstores: {}\n",
        "name: none\n",
    ],
)
def test_house_yaml_is_read_as_the_program_reads_it(text: str) -> None:
    settings = read_house("house.yaml", text.encode()).sound
    from caskbook.entry.crew import there_on
    from caskbook.model.house import House

    house = House(settings).on(days_ago(0))
    assert [one for one, _ in crew(text)] == list(there_on(house.crew, days_ago(0)))
    assert stores(text) == house.stores


def test_the_ledger_is_the_one_that_the_program_takes(shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for folder in (tmp_path, shop.root, shop.root / "casks"):
        monkeypatch.chdir(folder)
        assert ledger_here([]) == str(find_ledger(folder, None, None))
    monkeypatch.chdir("/")
    assert ledger_here([]) is None and ledger_here(["--records", str(shop.root), ""]) == str(shop.root)
    monkeypatch.setenv("CASKBOOK_RECORDS", str(shop.root))
    assert offered("show", "H") == ["HB-000001"]


@pytest.mark.parametrize(
    "line", [("",), ("enter", "no-job", ""), ("nothing", ""), ("show", "\x1b[2J"), ("enter", "test", "--by"), ("=",), ("void", "../../x", "")]
)
def test_nothing_is_offered_and_nothing_fails_where_a_line_is_odd(line: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert completing.answer(["caskbook", *line]).splitlines()[0] in ("words", "open")


def test_a_name_that_could_steer_a_terminal_is_not_offered(shop: Shop) -> None:
    (shop.root / "casks" / "T\x1b[2J").mkdir()
    (shop.root / "casks" / "TH-004" / "TH-004 x.yaml").touch()
    assert offered("show", "T") == ["TH-004", "TH-005"] and "TH-004 x" not in offered("show", "TH-004")


def test_a_word_that_a_shell_would_run_is_not_offered(shop: Shop) -> None:
    (shop.root / "house.yaml").write_text(
        'crew:\n  - {initials: "zz$(>a)"}\n  - {initials: ab}\n  - {initials: "`x`"}\n  - {initials: --anyway}\nstores: {W1: "ware;x", Y: yard, Q: $(>b)}\n',
        encoding="utf-8",
    )
    (shop.root / "casks" / "TH-004" / "TH-004$(x).yaml").touch()
    (shop.root / "casks" / "--yes").mkdir()
    shop.put(CAME, {"date": days_ago(20), "job": "move", "berth": "Q1/$(>c)"}, {"date": days_ago(19), "job": "move", "berth": "Q1/05"}, cask="TH-006001")
    shop.put(CAME, {"date": days_ago(20), "job": "move", "berth": "Q1/$(>c)"}, cask="TH-006002")
    assert caskbook("list").returncode == 0
    assert offered("shift", "") == ["ab"] and offered("list", "--store", "") == ["yard"]
    assert [one for one in offered("show", "TH-004") if "$" in one] == [] and "--yes" not in offered("show", "")
    assert offered("enter", "move", "TH-004217", "--berth", "Q1/") == ["Q1/05"]


def test_bash_quotes_what_it_puts_on_the_line(tmp_path: Path) -> None:
    program = tmp_path / "caskbook"
    program.write_text("#!/bin/sh\nprintf 'words\\nwarehouse 1\\tfirst\\nzz$(>x)`y`;\\nTH-004217..TH-004300,TH-1\\n'\n", encoding="utf-8")
    program.chmod(0o755)
    code = BASH + f'COMP_WORDS=({program} list --store w); COMP_CWORD=3; _caskbook; eval printf "\'%s|\'" "${{COMPREPLY[@]}}"'
    ran = subprocess.run(["bash", "-c", code], capture_output=True, text=True, cwd=tmp_path, check=False)
    assert ran.stdout == "warehouse 1|zz$(>x)`y`;|TH-004217..TH-004300,TH-1|" and not (tmp_path / "x").exists(), ran


def test_links_are_not_followed(shop: Shop, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    text = "crew:\n  - {initials: outsider}\nstores: {Z: outside}\nevents:\n  - id: e9999999\n"
    for name in ("house.yaml", "TH-004217.yaml", "TH-007001.yaml"):
        (outside / name).write_text(text, encoding="utf-8")
    for at, to in (
        (shop.root / "house.yaml", outside / "house.yaml"),
        (shop.path("TH-004217"), outside / "TH-004217.yaml"),
        (shop.root / "casks" / "TH-007", outside),
    ):
        at.unlink(missing_ok=True)
        at.symlink_to(to)
    assert offered("shift", "") == [] == offered("list", "--store", "") and offered("void", "TH-004217", "") == [] == offered("void", "TH-007001", "")
    assert offered("show", "TH-007") == []


def test_a_shell_that_is_not_known_is_refused() -> None:
    ran = caskbook("completion", "tcsh")
    assert ran.returncode == 2 and "expected bash, zsh or fish" in ran.stderr
    assert caskbook("completion").returncode == 2 and "source <(caskbook" in caskbook("completion", "--help").stdout


def test_completion_loads_nothing_that_is_slow(shop: Shop) -> None:
    code = "import sys\nfrom caskbook.__main__ import main\nsys.argv = ['caskbook', 'completion', 'words', 'caskbook', 'show', 'TH-004']\ntry:\n  main()\nfinally:\n  sys.stderr.write(' '.join(sys.modules))"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    heavy = {"typer", "pydantic", "ruamel.yaml", "rich.console", "dataclasses", "subprocess", "json", "sqlite3", "caskbook.cli.common"}
    assert ran.stdout.startswith("words\nTH-004217\n") and not set(ran.stderr.split()) & heavy, ran.stderr


@pytest.mark.thorough
def test_a_cask_among_a_hundred_thousand_is_found_within_a_tenth_of_a_second(tmp_path: Path) -> None:
    """The start of Python with it, in time of the processor, for the machine may be busy with other things."""
    (tmp_path / "records" / "casks").mkdir(parents=True)
    (tmp_path / "records" / "house.yaml").write_text(HOUSE, encoding="utf-8")
    for folder in range(110):
        at = tmp_path / "records" / "casks" / f"TH-{folder:03d}"
        at.mkdir()
        for n in range(1000):
            os.mknod(at / f"TH-{folder:03d}{n:03d}.yaml")
    took = []
    for begun in ("TH-0", "TH-042", "TH-0421", "") * 3:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([*_program(), "completion", "words", "caskbook", "enter", "test", begun], cwd=tmp_path, capture_output=True, check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        took.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    assert sorted(took)[len(took) // 2] < 0.1, took


def _program() -> list[str]:
    import warm

    return [warm.REAL, "-m", "caskbook"]


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A folder with the program in it, to be found by a shell."""
    import warm

    (tmp_path / "bin").mkdir()
    program = tmp_path / "bin" / "caskbook"
    program.write_text(f'#!/bin/sh\nexec {warm.REAL} -m caskbook "$@"\n', encoding="utf-8")
    program.chmod(0o755)
    return f"{tmp_path / 'bin'}:{os.environ['PATH']}"


SHELLS = {
    "bash": (["--norc", "--noprofile", "-i"], "source <(caskbook completion bash)", "bind 'set bell-style none'; PS1='$ '"),
    "zsh": (["-f", "-i"], "source <(caskbook completion zsh)", "PS1='$ '; unsetopt prompt_cr prompt_sp zle_bracketed_paste 2>/dev/null"),
    "fish": (["--no-config", "-i"], "caskbook completion fish | source", "function fish_prompt; echo '$ '; end"),
}


@pytest.mark.thorough
@pytest.mark.parametrize("shell", SHELLS)
def test_a_shell_completes(shop: Shop, tmp_path: Path, path: str, shell: str) -> None:
    """In the shell itself, at a terminal: a job, a cask, an option and a hand, each by Tab, are run as one line."""
    if shutil.which(shell) is None:
        pytest.skip(f"no {shell} on this machine")
    words, source, begin = SHELLS[shell]
    env = {**os.environ, "PATH": path, "TERM": "xterm", "HOME": str(tmp_path), "fish_features": "no-query-term"}
    child = pexpect.spawn(shell, words, cwd=str(tmp_path), env=env, encoding="utf-8", timeout=30, dimensions=(24, 160))  # type: ignore[arg-type]
    child.sendline(begin)
    child.sendline(source)
    child.sendline("echo rea''dy")
    _until(child, "ready")
    for begun in ("caskbook ent", "not", "HB", "--no", "'hello' --by ", "k", "--dry"):
        child.send(begun + "\t")
        _settled(child)
    child.send("\r")
    shown = _until(child, "+    note: hello")
    assert "HB-000001" in shown and "+    by: kd" in shown, shown
    child.close(force=True)


def _until(child: pexpect.spawn, text: str) -> str:
    """What was shown up to a text; a terminal says where its cursor is, and what it is."""
    end, seen = time.monotonic() + 30, ""
    while text not in seen:
        assert time.monotonic() < end, seen[-1500:]
        seen += _came(child)
    return seen + _came(child)


def _came(child: pexpect.spawn, seconds: float = 0.1) -> str:
    try:
        came = child.read_nonblocking(4096, seconds)
    except (pexpect.TIMEOUT, pexpect.EOF):
        return ""
    for _ in range(came.count("\x1b[6n")):
        child.send("\x1b[5;1R")
    for _ in range(came.count("\x1b[c") + came.count("\x1b[0c")):
        child.send("\x1b[?62;c")
    return str(came)


def _settled(child: pexpect.spawn) -> None:
    """Until nothing more is shown for a while: the completion stands there."""
    quiet = time.monotonic()
    while time.monotonic() - quiet < 0.7:
        if _came(child):
            quiet = time.monotonic()
