"""What a repository can carry in beside the casks: nothing of it is believed, and every cask is still answered."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.git.planted import bare_repository
from caskbook.index.schema import fingerprint
from caskbook.ledger import machine
from caskbook.ledger.paths import is_cask_path
from history.ledgers import EXAMINED, FILLED, RECEIVED, TESTED, Repo, cask, ledger

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
DAY = ("--as-of", "2026-01-01")


def installed(repo: Repo, *words: str, **env: str) -> subprocess.CompletedProcess[str]:
    """The installed command, in a process of its own."""
    quiet = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"}
    return subprocess.run([PROGRAM, *words], cwd=repo.top, env=os.environ | quiet | env, capture_output=True, text=True, check=False)


def here(repo: Repo, *words: str) -> subprocess.CompletedProcess[str]:
    """The same in this process."""
    done = caskbook(*words, cwd=repo.top)
    assert "Traceback" not in done.stderr and "fault of the program" not in done.stderr, done.stderr
    return done


def codes(repo: Repo, *words: str) -> dict[str, str]:
    """Code → severity of what `check` finds."""
    done = here(repo, "check", "--format", "json", *words)
    assert done.stdout, done.stderr
    done.stdout.encode("utf-8")
    return {one["code"]: one["severity"] for one in json.loads(done.stdout)["findings"]}


def cloned(repo: Repo, to: str = "clone", *options: str) -> Repo:
    """A clone beside it, as another person has it."""
    repo.git("clone", "-q", *options, str(repo.top), str(repo.top.parent / to))
    found = Repo(repo.top.parent / to, repo.ledger.relative_to(repo.top).as_posix())
    found.identify()
    return found


def planted_journal(repo: Repo, path: str, data: bytes, token: str | None = None) -> Path:
    """A journal of somebody else's making, that writes `data` to a path."""
    folder = repo.ledger / ".pending"
    folder.mkdir(exist_ok=True)
    (folder / "0.new").write_bytes(data)
    target = repo.ledger / path
    old = hashlib.sha256(target.read_bytes()).hexdigest() if target.is_file() else None
    files = [{"path": path, "old": old, "new": hashlib.sha256(data).hexdigest(), "store": "0.new"}]
    journal = {"version": 2, "files": files} | ({"token": token} if token else {})
    (folder / "journal.json").write_text(json.dumps(journal))
    return folder


ALL = (("due", *DAY), ("list", *DAY), ("show", "TH-004217", *DAY), ("query", "select cask from cask"), ("review",))


def all_answered(repo: Repo, *, line: str) -> None:
    """Every reading command answers about the sound cask, with the line on stderr once."""
    for words in ALL:
        done = here(repo, *words, "--format", "json")
        assert done.returncode in (0, 1), (words, done.stderr)
        json.loads(done.stdout)
        assert words[0] == "review" or "TH-004217" in done.stdout, (words, done.stdout, done.stderr)
        assert done.stderr.count(line) == 1, (words, done.stderr)


# Journals


def test_a_committed_journal_writes_nothing_whatever_is_asked(tmp_path: Path) -> None:
    mean = ledger(tmp_path, RECEIVED, EXAMINED, TESTED, under="")
    planted_journal(mean, ".git/config", b"[core]\n\tfsmonitor = touch /tmp/owned\n")
    mean.git("add", "-f", ".pending")
    mean.commit("a day's work")
    repo = cloned(mean)
    before = (repo.top / ".git" / "config").read_bytes()
    for words in (("due",), ("show", "TH-004217")):
        done = installed(repo, *words)
        assert (repo.top / ".git" / "config").read_bytes() == before, words
        assert "Traceback" not in done.stderr and "git rm -r --cached .pending" in done.stderr, (words, done.stderr)
    assert codes(repo)["pending-in-git"] == "error"


@pytest.mark.parametrize("tracked", [True, False])
def test_a_foreign_journal_changes_no_cask(tmp_path: Path, tracked: bool) -> None:
    repo = ledger(tmp_path)
    forged = cask(RECEIVED, EXAMINED, TESTED, FILLED).encode()
    folder = planted_journal(repo, "casks/TH-004/TH-004217.yaml", forged, "0" * 32)
    if tracked:
        repo.git("add", "-f", "records/.pending")
        repo.commit()
    all_answered(repo, line="git tracks" if tracked else "did not begin")
    assert b"gbfill" not in repo.path().read_bytes() and FILLED.encode() not in repo.path().read_bytes()
    assert "filled" not in here(repo, "list", *DAY).stdout
    assert codes(repo).get("pending-in-git" if tracked else "foreign-journal") == "error"
    done = here(repo, "enter", "note", "TH-004217", "--note", "seen", "--by", "ab", "--yes")
    assert done.returncode == 2 and done.stderr.splitlines()[-1].startswith("caskbook: nothing written: ") and done.stdout == "", done.stderr
    assert repo.path().read_text() == cask(RECEIVED, EXAMINED, TESTED)
    assert (folder / "journal.json").exists()


def test_a_journal_that_git_knows_in_head_alone_is_named_too(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    folder = planted_journal(repo, "house.yaml", b"crew: []\n")
    repo.git("add", "-f", "records/.pending")
    repo.commit()
    repo.git("rm", "-r", "-q", "--cached", "records/.pending")
    shutil.rmtree(folder)
    assert codes(repo)["pending-in-git"] == "error"
    assert here(repo, "due", *DAY).stderr == ""  # nothing of it is on disk to be believed
    repo.commit()
    assert "pending-in-git" not in codes(repo) and here(repo, "due", *DAY).stderr == ""


# The index


def lying_index(repo: Repo) -> None:
    """An index beside a broken book that says all is well, committed as git lets one."""
    repo.write(repo.path().read_text().replace("job: test", "job: tost"))
    repo.commit("broken")
    caskbook("check", cwd=repo.top)
    caskbook("due", cwd=repo.top)
    (path,) = (repo.ledger / ".caskbook").glob("index-*.sqlite")
    with contextlib.closing(sqlite3.connect(path)) as store:
        store.execute("UPDATE file_check SET findings = NULL")
        store.commit()
    repo.git("add", "-f", "records/.caskbook")
    repo.commit("handy")


@pytest.mark.parametrize("words", [(), ("--since", "HEAD")])
def test_a_committed_index_passes_no_broken_book(tmp_path: Path, words: tuple[str, ...]) -> None:
    mean = ledger(tmp_path)
    lying_index(mean)
    repo = cloned(mean)
    done = installed(repo, "check", "--strict", "--format", "concise", *words)
    assert done.returncode == 1 and "tost" in done.stdout and "index-in-git" in done.stdout, done.stdout + done.stderr
    assert "git rm -r --cached records/.caskbook" in done.stderr
    for words in (("due", *DAY), ("list", *DAY), ("show", "TH-004217", *DAY)):
        assert here(repo, *words).stderr.count("git tracks") == 1


def test_an_index_from_elsewhere_is_thrown_away(tmp_path: Path) -> None:
    mean = ledger(tmp_path)
    lying_index(mean)
    repo = cloned(mean)
    repo.git("rm", "-r", "-q", "--cached", "records/.caskbook")
    repo.commit("as told")
    before = {path.name for path in (repo.ledger / ".caskbook").glob("index-*")}
    assert before and here(repo, "check", "--strict").returncode == 1
    after = {path.name for path in (repo.ledger / ".caskbook").glob("index-*.sqlite")}
    assert len(after) == 1 and not after & before


@pytest.mark.parametrize("how", ["other inode", "other number", "other place", "nothing noted", "link", "strange names"])
def test_an_index_is_believed_only_where_all_fits(tmp_path: Path, how: str) -> None:
    repo = ledger(tmp_path)
    here(repo, "check")
    here(repo, "due")
    root, program = repo.ledger, fingerprint()
    bound = machine.bound_index(root, program)
    assert bound is not None
    path = root / ".caskbook" / bound[0]
    with contextlib.closing(sqlite3.connect(path)) as store:
        store.execute("UPDATE answer SET state = 'planted'")
        store.commit()
    match how:
        case "other inode":
            data = path.read_bytes()
            path.rename(tmp_path / "kept")
            path.write_bytes(data)
        case "other number":
            with contextlib.closing(sqlite3.connect(path)) as store:
                store.execute("UPDATE meta SET value = 'x' WHERE key = 'bound'")
                store.commit()
        case "other place":
            root = shutil.copytree(repo.top, tmp_path / "copy") / "records"
        case "nothing noted":
            machine.forget_index(root, program)
        case "link":
            path.rename(tmp_path / "kept.sqlite")
            path.symlink_to(tmp_path / "kept.sqlite")
        case _:
            machine.forget_index(root, program)
            for name in ("index-x.sqlite", f"index-{program[:12]}-x.sqlite", f"index-{program[:12]}-{'9' * 200}.sqlite"):
                shutil.copy(path, root / ".caskbook" / name)
    done = caskbook("due", *DAY, cwd=root)
    assert done.returncode == 0 and ("a link" in done.stderr) == (how == "link")
    if how == "link":
        path.unlink()
        caskbook("due", *DAY, cwd=root)
    now = machine.bound_index(root, program)
    assert now is not None and now[0] != bound[0]
    assert [one.name for one in (root / ".caskbook").glob("index-*.sqlite")] == [now[0]]


@pytest.mark.parametrize(("name", "value"), [("CI", "true"), ("GIT_DIR", "x"), ("GIT_INDEX_FILE", "x"), ("since", "HEAD")])
def test_where_others_rely_on_it_check_asks_no_index(tmp_path: Path, name: str, value: str, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = ledger(tmp_path)
    here(repo, "check")
    (path,) = (repo.ledger / ".caskbook").glob("index-*.sqlite")
    repo.write(repo.path().read_text().replace("job: test", "job: tost"))
    here(repo, "check")
    with contextlib.closing(sqlite3.connect(path)) as store:
        store.execute("UPDATE file_check SET findings = NULL")
        store.commit()
    assert here(repo, "check").returncode == 0  # the index of this machine, in its place, is believed
    if name == "since":
        assert here(repo, "check", "--since", value).returncode == 1
    else:
        value = str(repo.top / ".git" / "index") if name == "GIT_INDEX_FILE" else str(repo.top / ".git") if name == "GIT_DIR" else value
        monkeypatch.setenv(name, value)
        assert here(repo, "check").returncode == 1


def test_without_a_state_folder_everything_is_answered_from_the_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = ledger(tmp_path)
    expected = [here(repo, *words).stdout for words in ALL[:4]]
    monkeypatch.setenv("CASKBOOK_STATE", "/dev/null/nowhere")
    for words, out in zip(ALL[:4], expected, strict=True):
        done = here(repo, *words)
        assert done.stdout == out and done.stderr.count("no index is kept") == (words[0] != "show"), words


# Links in the place of what the program keeps


@pytest.mark.parametrize("name", [".gitignore", "lock", "index.lock"])
def test_a_dangling_link_in_the_own_folder_makes_nothing_outside(tmp_path: Path, name: str) -> None:
    repo = ledger(tmp_path)
    kept = repo.ledger / ".caskbook"
    kept.mkdir(exist_ok=True)
    (kept / name).unlink(missing_ok=True)
    (kept / name).symlink_to(tmp_path / "outside")
    for words in (*ALL, ("check",), ("enter", "note", "TH-004217", "--note", "seen", "--by", "ab", "--yes")):
        done = here(repo, *words)
        assert not (tmp_path / "outside").exists(), words
        assert "link" in done.stderr, (words, done.stderr)
    assert codes(repo)["symbolic-link"] == "error"
    (tmp_path / "outside").write_text("precious")
    here(repo, "enter", "note", "TH-004217", "--note", "seen", "--by", "ab", "--yes")
    here(repo, "due")
    assert (tmp_path / "outside").read_text() == "precious"


@pytest.mark.parametrize("name", [".caskbook", ".pending"])
def test_a_link_in_the_place_of_an_own_folder_leads_nowhere(tmp_path: Path, name: str) -> None:
    repo = ledger(tmp_path)
    outside = tmp_path / "outside"
    outside.mkdir()
    shutil.rmtree(repo.ledger / name, ignore_errors=True)
    (repo.ledger / name).symlink_to(outside)
    repo.git("add", "-A", "-f")
    repo.commit()
    for words in (*ALL, ("check",)):
        done = here(repo, *words)
        assert list(outside.iterdir()) == [], words
        assert done.stderr, words
    found = codes(repo)
    assert found["symbolic-link"] == "error" and found["pending-in-git" if name == ".pending" else "index-in-git"] == "error"


# A bare repository on the way


def bare_in(folder: Path) -> None:
    """The files of a bare repository, as any commit can hold them, with settings that run a program."""
    (folder / "HEAD").write_text("ref: refs/heads/main\n")
    (folder / "config").write_text(f"[core]\n\trepositoryformatversion = 0\n\tbare = false\n\tworktree = {folder}\n\tfsmonitor = touch {folder}/owned\n")
    for name in ("objects/info", "refs/heads"):
        (folder / name).mkdir(parents=True)
        (folder / name / "keep").write_text("")


@pytest.mark.parametrize("place", ["records", "books"])
def test_an_embedded_bare_repository_is_not_taken_for_the_history(tmp_path: Path, place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    mean = ledger(tmp_path, under="books/records" if place == "books" else "records")
    bare_in(mean.top / place)
    mean.commit("papers")
    repo = cloned(mean)
    for words in (("due", *DAY), ("list", *DAY), ("show", "TH-004217", *DAY)):
        done = caskbook(*words, cwd=repo.ledger)
        assert done.returncode == 0 and "TH-004217" in done.stdout, (words, done.stderr)
    for words in (("review",), ("check", "--since", "HEAD"), ("due", "--at", "HEAD"), ("git", "install"), ("settle",)):
        done = caskbook(*words, cwd=repo.ledger)
        assert done.returncode == 2 and "bare repository" in done.stderr and done.stderr.count("\n") == 1, (words, done.stdout, done.stderr)
    assert json.loads(caskbook("check", "--format", "json", cwd=repo.ledger).stdout)["findings"][0]["code"] == "bare-repository"
    assert not list(repo.top.rglob("owned")) and not (repo.top / place / "hooks").exists()


def test_a_bare_repository_that_git_dir_names_is_no_planted_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Repo(tmp_path / "house", "")
    bare_in(tmp_path / "house")
    inner = tmp_path / "house" / "server.git"
    inner.mkdir()
    bare_in(inner)
    assert bare_repository(inner) == inner
    monkeypatch.setenv("GIT_DIR", str(inner))
    assert bare_repository(inner) is None
    assert bare_repository(tmp_path / "house") is None  # a work tree's own repository stands beside it


def test_git_itself_is_told_to_take_no_bare_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    mean = ledger(tmp_path)
    bare_in(mean.ledger)
    monkeypatch.setattr("caskbook.git.repository.bare_repository", lambda folder: None)
    done = caskbook("review", cwd=mean.ledger)
    assert done.returncode == 2 and "bare" in done.stderr


# Odd things among the casks


def strange(repo: Repo, what: str) -> str:
    """Put one odd thing among the casks, commit it, and give the code that `check` has for it."""
    folder = repo.path().parent
    match what:
        case "not utf-8":
            Path(os.fsdecode(os.fsencode(folder) + b"/TH-0042\xff8.yaml")).write_text(cask(RECEIVED))
            code = "name-not-utf8"
        case "not utf-8 folder":
            other = Path(os.fsdecode(os.fsencode(folder.parent) + b"/TH-\xe9"))
            other.mkdir()
            (other / "TH-004218.yaml").write_text(cask(RECEIVED, cask_id="TH-004218"))
            code = "name-not-utf8"
        case "copy":
            (folder / "TH-004217 (conflicted copy).yaml").write_text(cask(RECEIVED))
            code = "conflicted-copy"
        case "sync copy":
            (folder / "TH-004217.sync-conflict-20260101-120000-ABC.yaml").write_text(cask(RECEIVED))
            code = "conflicted-copy"
        case "link":
            (folder / "TH-004218.yaml").symlink_to("/etc/passwd")
            code = "symbolic-link"
        case "folder link":
            (repo.top / "elsewhere").mkdir()
            (repo.top / "elsewhere" / "TH-005001.yaml").write_text(cask(RECEIVED, cask_id="TH-005001"))
            (folder.parent / "TH-005").symlink_to("../../elsewhere")
            code = "symbolic-link"
        case _:
            inner = Repo(folder.parent / "TH-005", "")
            (inner.top / "TH-005001.yaml").write_text(cask(RECEIVED, cask_id="TH-005001"))
            inner.commit()
            code = "submodule-in-casks"
    return code


ODD = ["not utf-8", "not utf-8 folder", "copy", "sync copy", "link", "folder link", "gitlink"]
ALIKE = ("not utf-8 folder", "sync copy")  # as the one before each in the list: with the slow tests


@pytest.mark.parametrize(("what", "indexed"), [
    *((what, True) if what not in ALIKE else pytest.param(what, True, marks=pytest.mark.slow) for what in ODD), ("not utf-8", False), pytest.param("gitlink", False, marks=pytest.mark.slow),
])  # fmt: skip
def test_an_odd_thing_among_the_casks_stops_nobody(tmp_path: Path, what: str, indexed: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    if not indexed:
        monkeypatch.setenv("CASKBOOK_INDEX", "off")
    repo = ledger(tmp_path)
    code = strange(repo, what)
    assert codes(repo)[code] == "error"
    others_answered(repo, *READ)
    repo.commit("odd")
    repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED))  # and something to review
    assert [codes(repo, *words)[code] for words in ((), ("--at", "HEAD"), ("--since", "HEAD~1"))] == ["error"] * 3
    others_answered(repo, *ALL, ("due", *DAY, "--at", "HEAD"), ("list", *DAY, "--at", "HEAD"))


READ = (("due", *DAY), ("list", *DAY), ("show", "TH-004217", *DAY))


def others_answered(repo: Repo, *asked: tuple[str, ...]) -> None:
    """The sound cask is answered, and what stands in the odd thing is not taken for a cask."""
    for words in asked:
        done = here(repo, *words, "--format", "json")
        done.stdout.encode("utf-8")
        found = json.loads(done.stdout)
        linked = any(path.is_symlink() for path in (repo.ledger / "casks").glob("**/*")) and words[0] in ("due", "list", "query", "report")
        astray = not linked and any(
            path.is_file() and not is_cask_path(path.relative_to(repo.ledger).as_posix()) for path in (repo.ledger / "casks").glob("**/*.yaml")
        )
        astray = astray and words[0] in ("due", "list", "query", "report", "show")
        told = "1 link among the casks is not followed" if linked else "1 file among the casks is not read where it lies" if astray else ""
        # What is left out could be casks of the book.
        assert done.returncode == 0 and done.stderr.startswith(told) and done.stderr.count("\n") == (linked or astray), (words, done.stdout, done.stderr)
        assert words[0] == "review" or "TH-004217" in done.stdout, (words, done.stdout)
        assert words[0] != "list" or len(found) == 1, found


def test_an_odd_thing_is_told_by_the_installed_command(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    strange(repo, "not utf-8")
    repo.commit()
    for form in ("text", "concise", "json", "github", "sarif"):
        done = installed(repo, "check", "--format", form) if form == "text" else here(repo, "check", "--format", form)
        assert done.returncode == 1 and "name-not-utf8" in done.stdout and "Traceback" not in done.stderr


@pytest.mark.parametrize("link", ["file", "folder", "casks", "house"])
def test_a_link_in_the_place_of_what_was_a_cask_is_not_followed(tmp_path: Path, link: str) -> None:
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED, cask_id="TH-005001"), "TH-005001")
    repo.commit()
    here(repo, "due")
    place = {"file": repo.path(), "folder": repo.path().parent, "casks": repo.ledger / "casks", "house": repo.ledger / "house.yaml"}[link]
    place.rename(repo.top / "moved")
    place.symlink_to(repo.top / "moved")
    if link == "house":
        for words in ALL:
            done = here(repo, *words)
            assert done.returncode == 2 and "symbolic link" in done.stderr, (words, done.stderr)
        return
    assert codes(repo)["symbolic-link"] == "error"
    assert codes(repo, "--since", "HEAD")["landed-file-removed"] == "error"
    assert here(repo, "show", "TH-004217").returncode == 2
    for words in (("list", *DAY), ("due", *DAY)):
        assert "TH-004217" not in here(repo, *words).stdout
        assert ("TH-005001" in here(repo, *words).stdout) == (link != "casks")
    assert here(repo, "review").returncode == 1


def test_a_sparse_checkout_loses_no_cask(tmp_path: Path) -> None:
    full = ledger(tmp_path)
    full.write(cask(RECEIVED, cask_id="TH-005001"), "TH-005001")
    full.commit()
    full.write(cask(RECEIVED, EXAMINED, cask_id="TH-005001"), "TH-005001")
    full.commit()
    repo = cloned(full)
    repo.git("sparse-checkout", "set", "--no-cone", "/*", "!/records/casks/TH-005")
    assert not repo.path("TH-005001").exists() and repo.path().exists()
    for words in ((), ("--since", "HEAD"), ("--since", "HEAD~1"), ("--since", "HEAD~2")):
        assert codes(repo, *words)["sparse-checkout"] == "warning"
        assert not [code for code in codes(repo, *words) if code.startswith("landed-")], words
    done = here(repo, "review")
    assert done.returncode == 0 and "nothing landed was altered" in done.stdout
    for words in ALL[:4]:
        assert "TH-004217" in here(repo, *words).stdout
    done = here(repo, "show", "TH-005001")
    assert done.returncode == 2 and "sparse" in done.stderr
    assert "TH-005001" in here(repo, "show", "TH-005001", "--at", "HEAD").stdout


def test_a_sync_copy_in_the_own_folder_is_named_and_harms_nothing(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    here(repo, "due")
    kept = repo.ledger / ".caskbook"
    (path,) = kept.glob("index-*.sqlite")
    for name in (f"{path.stem} (conflicted copy).sqlite", "lock (conflicted copy)", f"{path.stem}.sync-conflict-1.sqlite"):
        shutil.copy(path, kept / name)
    Path(os.fsdecode(os.fsencode(kept) + b"/index-\xff.sqlite")).write_text("")
    for words in ALL:
        done = here(repo, *words)
        assert done.returncode == 0 and done.stderr == "", (words, done.stderr)
    assert codes(repo)["stray-file"] == "warning"


def test_a_git_file_that_points_elsewhere_is_told_in_a_line(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    (repo.top / ".git").rename(tmp_path / "away")
    (repo.top / ".git").write_text("gitdir: /nowhere/at/all\n")
    for words in ALL[:4]:
        done = here(repo, *words)
        assert done.returncode == 0 and "TH-004217" in done.stdout, (words, done.stderr)
    done = here(repo, "review")
    assert done.returncode == 2 and done.stderr.count("\n") == 1


# Newlines that git turns


def test_a_clean_clone_on_a_machine_that_turns_newlines_has_no_finding(tmp_path: Path) -> None:
    full = ledger(tmp_path)
    full.write(cask(RECEIVED, cask_id="TH-005001").replace("\n", "\r\n"), "TH-005001")
    full.git("-c", "core.autocrlf=false", "add", "-A")
    full.git("commit", "-q", "-m", "one with CRLF")
    repo = cloned(full, "clone", "-c", "core.autocrlf=true")
    assert b"\r\n" in repo.path().read_bytes() and b"\r\n" in (repo.ledger / "house.yaml").read_bytes()
    for words in ((), ("--since", "HEAD")):
        found = json.loads(here(repo, "check", "--format", "json", *words).stdout)["findings"]
        assert [(one["code"], one["path"]) for one in found if one["code"] == "crlf-newlines"] == [("crlf-newlines", "records/casks/TH-005/TH-005001.yaml")]
    assert "crlf-newlines" not in installed(repo, "check", "TH-004217").stdout
    repo.git("config", "core.autocrlf", "false")
    repo.path().write_bytes(repo.path().read_bytes() + b"# mine\r\n")
    assert "crlf-newlines" in here(repo, "check", "TH-004217").stdout


def test_git_install_keeps_the_lines_as_they_are(tmp_path: Path) -> None:
    full = ledger(tmp_path)
    full.write(cask(RECEIVED, cask_id="TH-005001").replace("\n", "\r\n"), "TH-005001")
    full.commit()
    (full.ledger / ".gitattributes").write_text("casks/**/*.yaml merge=caskbook diff=caskbook\nhouse.yaml merge=caskbook\n")
    assert here(full, "git", "install").returncode == 0
    rules = (full.ledger / ".gitattributes").read_text().splitlines()
    assert sum("eol=lf" in line for line in rules) == 2 and len(rules) == 3
    full.commit("rules")
    repo = cloned(full, "clone", "-c", "core.autocrlf=true")
    assert repo.path().read_bytes() == full.path().read_bytes() and b"\r" not in repo.path().read_bytes()
    assert repo.path("TH-005001").read_bytes() == full.path("TH-005001").read_bytes()
    repo.path("TH-005001").touch()
    repo.path().write_bytes(repo.path().read_bytes().replace(b"\n", b"\r\n"))  # as an editor may leave it
    assert repo.git("status", "--short").splitlines()[1:] == []
    repo.commit("an editor was here")
    assert repo.git("diff", "--name-only", "HEAD~1") == ""
