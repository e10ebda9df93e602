"""Trees of git with names that no work tree can hold: nothing is written or read by them, every command tells them, no gate takes them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.checks import EXPLANATIONS
from caskbook.git.attributes import attributes
from caskbook.git.names import is_plain_path, odd_name, odd_names
from caskbook.ledger.paths import is_cask_path
from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask, ledger

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
EVIL = b"* filter=evil\nwritten by a push\n"
ODD = (
    "a/../b", "../b", "./b", "a//b", "/a", "a/", "..", ".git/config", "a/.GIT/x", "a/.gIt", "a/.git ./x", "a/GIT~1/x", "a/.g\u200cit/x",
    "a/.git::$INDEX_ALLOCATION/x", "a\\..\\b", "a\\b", "n" * 256, "é" * 128, "/".join(["d" * 100] * 11),
)  # fmt: skip
PLAIN = (
    "a/b",
    ".gitattributes",
    "a/.gitignore",
    "...",
    "a/..b",
    ".github/x",
    "a/git",
    "n" * 255,
    "é" * 127,
    "/".join(["d" * 99] * 10),
    "records/casks/TH-004/TH-004217.yaml",
    "\udcff",
)


@pytest.mark.parametrize("path", ODD)
def test_a_name_that_leads_elsewhere_or_fits_nowhere_is_known(path: str):
    assert odd_name(path) and not is_plain_path(path)


@pytest.mark.parametrize("path", PLAIN)
def test_a_usual_name_is_none_of_them(path: str):
    assert odd_name(path) == ""


def test_two_things_of_one_name_are_told():
    assert set(odd_names(["a/b", "a/b", "c", "c/d/e", "f"])) == {"a/b", "c"}
    assert set(odd_names(["a", "c", "b", "d"])) == {"b"} and odd_names(["a.b", "a/b", "a0", "\ue000", "\U00010000"]) == {}
    one = EXPLANATIONS["name-for-no-folder"]
    assert odd_name(one.wrong.splitlines()[1]) and not odd_name(one.right.splitlines()[1])


def test_a_name_in_other_capitals_does_not_pass_for_a_file_of_the_book():
    own = ["README", "readme", "records/.gitattributes", "records/casks/TH-004/TH-004217.yaml", "records/house.yaml"]
    assert odd_names(sorted(own)) == {}
    for other in ("Records/casks/TH-004/TH-004217.yaml", "records/casks/TH-004/TH-004217.YAML", "records/casks/th-004/TH-004217.yaml", "records/House.yaml"):
        assert {path.casefold() for path in odd_names(sorted([*own, other]))} == {other.casefold()} and other in odd_names(sorted([*own, other]))
    assert list(odd_names(sorted([*own, "docs/.GitAttributes"]))) == ["docs/.GitAttributes"]


def test_no_cask_has_such_a_folder():
    assert not any(is_cask_path(f"casks/{folder}/TH-004217.yaml") for folder in ("", ".", ".."))


def objects(repo: Repo, *args: str, data: bytes) -> str:
    done = subprocess.run(["git", *args], cwd=repo.top, input=data, capture_output=True, check=True)
    return done.stdout.decode().strip()


def with_file(repo: Repo, path: str, data: bytes = EVIL) -> str:
    """A commit upon HEAD whose tree has one file more, whatever its path; git is never asked whether it may be."""
    blob = objects(repo, "hash-object", "-w", "--stdin", data=data)

    def put(tree: str | None, rest: str, mode: str, oid: str) -> str:
        head, slash, more = rest.partition("/")
        rows = [row.split("\t") for row in repo.git("ls-tree", "-z", tree).split("\0") if row] if tree else []
        entries = {name: (about.split()[0].lstrip("0"), about.split()[2]) for about, name in rows}
        entries[head] = ("40000", put(entries.get(head, ("", None))[1], more, mode, oid)) if slash else (mode, oid)
        raw = b"".join(
            f"{kind} {name}\0".encode() + bytes.fromhex(of)
            for name, (kind, of) in sorted(entries.items(), key=lambda one: one[0] + ("/" if one[1][0] == "40000" else ""))
        )
        return objects(repo, "hash-object", "-t", "tree", "-w", "--stdin", "--literally", data=raw)

    tree = put(repo.git("rev-parse", "HEAD^{tree}").strip(), path, "100644", blob)
    return repo.git("commit-tree", tree, "-p", "HEAD", "-m", "evil").strip()


@pytest.fixture
def book(tmp_path: Path) -> Repo:
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED, EXAMINED, TESTED))
    repo.commit("book")
    return repo


def up_to(book: Repo, place: Path) -> str:
    """A path through folders of a tree that leads from the program's scratch folder to a place on this disk."""
    return f"records/casks/{'../' * 20}{str(place).lstrip('/')}"


@pytest.mark.parametrize("words", [["review", "main..{evil}"], ["check", "--since", "main", "--at", "{evil}"], ["check", "--at", "{evil}"]])
@pytest.mark.parametrize(
    "path", ["outside", "records/casks/" + "n" * 300 + "/.gitattributes", "records/casks/" + "/".join(["d" * 200] * 25) + "/.gitattributes"]
)
def test_nothing_is_written_by_a_name_out_of_git(book: Repo, tmp_path: Path, words: list[str], path: str):
    evil = with_file(book, up_to(book, tmp_path / "pwned" / ".gitattributes") if path == "outside" else path)
    done = caskbook(*(word.format(evil=evil) for word in words), cwd=book.top)
    assert "name-for-no-folder" in done.stdout or "no work tree can hold" in done.stdout, done.stdout + done.stderr
    assert "fault of the program" not in done.stderr and done.returncode == int(words[0] == "check")
    assert not (tmp_path / "pwned").exists()


def test_attributes_are_looked_up_without_such_names(tmp_path: Path):
    files = {"../../x/.gitattributes": EVIL, ".gitattributes/.gitattributes": EVIL, ".gitattributes": b"*.yaml -text\n"}
    found = attributes(files, ["records/casks/../../../x/a.yaml", "b.yaml"])
    assert found["b.yaml"]["text"] == "unset" or found["b.yaml"]["text"] == "unspecified"
    assert set(found["records/casks/../../../x/a.yaml"].values()) == {"unspecified"}


@pytest.fixture
def server(book: Repo, tmp_path: Path) -> Repo:
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(tmp_path / "book.git")], check=True)
    assert subprocess.run([str(PROGRAM), "git", "install", "--server", str(tmp_path / "book.git")], check=False).returncode == 0
    book.git("remote", "add", "origin", str(tmp_path / "book.git"))
    book.git("push", "-q", "origin", "main")
    there = Repo.__new__(Repo)
    there.top = tmp_path / "book.git"
    return there


@pytest.mark.parametrize(("fsck", "to"), [("true", "main"), ("false", "main"), ("false", "side")])
def test_the_gate_takes_no_tree_that_nobody_can_check_out(book: Repo, server: Repo, tmp_path: Path, fsck: str, to: str):
    assert server.git("config", "receive.fsckObjects").strip() == "true", "set by git install --server"
    server.git("config", "receive.fsckObjects", fsck)
    evil = with_file(book, up_to(book, tmp_path / "pwned" / ".gitattributes"))
    out = book.git("push", "origin", f"{evil}:refs/heads/{to}", good=(1,))
    assert fsck == "true" or ("name-for-no-folder" in out and "nothing of this push is taken" in out), out
    assert not (tmp_path / "pwned").exists()
    book.git("clone", "-q", str(server.top), str(tmp_path / "clone"))


def test_the_gate_sees_it_outside_the_book_and_in_a_commit_that_is_followed(book: Repo, server: Repo):
    server.git("config", "receive.fsckObjects", "false")
    evil = with_file(book, "docs/.GIT/config")
    after = book.git("commit-tree", "HEAD^{tree}", "-p", evil, "-m", "taken away").strip()
    assert "name-for-no-folder" in book.git("push", "origin", f"{after}:refs/heads/main", good=(1,))
    lone = book.git("commit-tree", f"{evil}^{{tree}}", "-m", "lone").strip()
    assert "name-for-no-folder" in book.git("push", "origin", f"{lone}:refs/heads/lone", good=(1,))


def test_the_gate_takes_no_second_cask_in_other_capitals(book: Repo, server: Repo):
    evil = with_file(book, "Records/casks/TH-004/TH-004217.yaml", cask(RECEIVED).encode())
    out = book.git("push", "origin", f"{evil}:main", good=(1,))
    assert "name-for-no-folder: taken for another file where capitals do not count" in out


def out_of_order(repo: Repo) -> str:
    """A commit that alters a cask in a tree whose names are out of order: to git the cask went, and another came."""
    altered = objects(repo, "hash-object", "-w", "--stdin", data=cask(RECEIVED, EXAMINED, TESTED).replace("psi: 11", "psi: 12").encode())
    note = objects(repo, "hash-object", "-w", "--stdin", data=b"a remark\n")
    folder = "records/casks/TH-004"
    raw = b"".join(b"100644 %s\0" % name + bytes.fromhex(oid) for name, oid in ((b"zz", note), (b"TH-004217.yaml", altered)))
    tree = objects(repo, "hash-object", "-t", "tree", "-w", "--stdin", "--literally", data=raw)
    for at in (folder, "records/casks", "records"):
        above, _, name = at.rpartition("/")
        rows = repo.git("ls-tree", f"HEAD:{above}" if above else "HEAD").splitlines()
        listed = "".join(
            f"{row.split(chr(9))[0][: -len(tree)]}{tree if row.endswith(chr(9) + name) else row.split(chr(9))[0][-len(tree) :]}{chr(9)}{row.split(chr(9))[1]}\n"
            for row in rows
        )
        tree = objects(repo, "mktree", data=listed.encode())
    return repo.git("commit-tree", tree, "-p", "HEAD", "-m", "out of order").strip()


def test_a_tree_out_of_order_hides_no_alteration(book: Repo, server: Repo):
    server.git("config", "receive.fsckObjects", "false")
    evil = out_of_order(book)
    assert {row.split()[4] for row in book.git("diff-tree", "-r", "HEAD", evil).splitlines()} >= {"D", "A"}, "as git sees it"
    done = caskbook("check", "--since", "main", "--at", evil, cwd=book.top)
    assert done.returncode == 2 and done.stderr.startswith("caskbook: no file ") and len(done.stderr.splitlines()) == 1, "git does not find it by its name"
    assert "1 ALTERATION OF WHAT HAD LANDED" in caskbook("review", f"main..{evil}", cwd=book.top).stdout
    assert "name-for-no-folder" in book.git("push", "origin", f"{evil}:main", good=(1,))


def test_uninstall_gives_the_setting_back(server: Repo):
    assert caskbook("git", "uninstall", "--server", str(server.top)).returncode == 0
    assert "fsck" not in (server.top / "config").read_text().lower()
