"""What `.gitattributes` hide or switch off is told by `review` and by `check --since`, at the line that has, or had, the rule."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from laws import crossed

from caskbook.checks.history import append_only_since
from caskbook.cli.commands.check import run as check
from caskbook.cli.commands.review import run as review
from caskbook.git import Git
from history.graphs import ATTRIBUTES, Graph, chain, told
from history.ledgers import EXAMINED, HOUSE, RECEIVED, TESTED, Repo, cask, ledger

pytestmark = pytest.mark.thorough

PATH = "records/casks/TH-004/TH-004217.yaml"
BASE = cask(RECEIVED, EXAMINED)
MERGE, DIFF, ENCODING = "landed-merge-switched-off", "landed-diff-switched-off", "landed-encoding-changed"


def since(graph: Graph, old: int = 0, new: int = 1, **more: object):
    repo = graph.write()
    return append_only_since(repo.ledger, graph.names[old], graph.names[new], "records/", **more)


def with_marks(top: Path, where: str, rules: str) -> Graph:
    """A commit, and one that brings a `.gitattributes` (behind what is there) and nothing else."""
    return chain(top, BASE, {PATH: BASE, where: (ATTRIBUTES if where == ".gitattributes" else "") + rules})


PLACES = {
    ".gitattributes": 3, "records/.gitattributes": 1, "records/casks/.gitattributes": 1, "records/casks/TH-004/.gitattributes": 1,
}  # fmt: skip


@crossed("where,ends_only", list(PLACES), [False, True])
def test_a_diff_that_is_hidden_is_told_wherever_the_rule_stands(tmp_path: Path, where: str, ends_only: bool):
    (found,) = since(with_marks(tmp_path, where, "*.yaml -diff\n"), ends_only=ends_only)
    assert (found.code, found.severity, found.path, found.span.line) == (DIFF, "warning", where, PLACES[where])
    assert found.message.startswith("`diff` of ") and " was unspecified when it landed, is unset" in found.message


@pytest.mark.parametrize(("rule", "codes"), [
    ("*.yaml binary\n", {MERGE, DIFF}), ("[attr]quiet -diff\n*.yaml quiet\n", {DIFF}), ("*.yaml diff=other\n", {DIFF}), ("*.yaml merge=union\n", {MERGE}),
    ("*.yaml -merge\n", {MERGE}), ("*.yaml filter=x\n", {MERGE}), ("*.yaml ident\n", {MERGE}), ("*.yaml working-tree-encoding=UTF-16\n", {ENCODING}), ("*.yaml working-tree-encoding=utf8\n", set()),
    ("*.yaml text eol=crlf\n", {MERGE}), ("*.yaml conflict-marker-size=3\n", {MERGE}), ("*.yaml linguist-generated\n", {DIFF}), ("house.yaml -diff\n", {DIFF}),
    ("*.yaml -text\n", set()), ("*.yaml diff=caskbook\n", set()), ("*.yaml diff\n", set()), ("*.png binary\n", set()), ("# *.yaml -diff\n", set()),
    ("*.yaml -diff -bad..=\\!name\n*.yaml export-ignore\n", {DIFF}), ("*.yaml -diff !!x\n", set()),
])  # fmt: skip
def test_what_blinds_a_diff_or_a_merge_and_what_does_not(tmp_path: Path, rule: str, codes: set[str]):
    found = since(with_marks(tmp_path, ".gitattributes", rule))
    assert set(told(found)) == codes
    assert all(
        one.path == ".gitattributes" and one.span.line == 2 + rule.count("\n", 0, rule.index("*.yaml") if "*.yaml" in rule else 0) + 1
        for one in found
        if "[attr]" not in rule
    )


@pytest.mark.parametrize(("rule", "codes"), [
    ("*.YAML merge=union -diff\n", {MERGE, DIFF}), ("RECORDS/Casks/** -merge\n", {MERGE}), ("*.y[[:upper:]]ml -diff\n", {DIFF}), ("th-004217.yaml linguist-generated\n", {DIFF}),
    ("*.YAML text eol=crlf\n", {MERGE}), ("*.YAML merge=caskbook -text\n", set()), ("*.YML -diff\n", set()), ("*.PNG binary\n", set()),
])  # fmt: skip
def test_a_pattern_in_letters_of_another_size_is_told_as_it_holds_on_other_machines(tmp_path: Path, rule: str, codes: set[str]):
    found = since(with_marks(tmp_path, ".gitattributes", rule))
    assert set(told(found)) == codes and all((one.path, one.span.line) == (".gitattributes", 3) for one in found), found


def test_no_line_in_letters_of_another_size_takes_the_place_of_ours(tmp_path: Path):
    for rule in ("records/casks/**/*.YAML merge=caskbook -text\n", "RECORDS/casks/**/*.yaml merge=caskbook\n"):
        found = since(chain(tmp_path / rule[-30:-24], BASE, {PATH: BASE, ".gitattributes": rule + "records/house.yaml merge=caskbook -text\n"}))
        assert MERGE in told(found)


def test_a_book_without_our_merge_is_told_of_a_foreign_one(tmp_path: Path):
    graph = chain(
        tmp_path, {PATH: BASE, ".gitattributes": ""}, {PATH: BASE, ".gitattributes": "", "records/.gitattributes": "\n\ncasks/**/*.yaml merge=ours\n"}
    )
    (found,) = since(graph)
    assert (found.code, found.path, found.span.line) == (MERGE, "records/.gitattributes", 3)


def test_a_line_that_is_gone_is_named_where_it_stood(tmp_path: Path):
    (found, house) = since(chain(tmp_path / "a", BASE, {PATH: BASE, ".gitattributes": "# none\n"}))[:2]
    assert (found.path, found.span.line) == (".gitattributes", 1) and {found.code, house.code} == {MERGE}
    deep = chain(
        tmp_path / "b",
        {PATH: BASE, ".gitattributes": "", "records/casks/.gitattributes": "# ours\n*.yaml merge=caskbook -text\n"},
        {PATH: BASE, ".gitattributes": ""},
    )
    assert {(one.path, one.span.line, one.code) for one in since(deep)} == {("records/casks/.gitattributes", 2, MERGE)}


def test_switched_off_and_back_on_is_told_with_both_commits(tmp_path: Path):
    graph = chain(tmp_path, BASE, {PATH: BASE, "records/casks/.gitattributes": "* -diff\n"}, BASE)
    (found,) = since(graph, 0, 2)
    assert found.code == DIFF and found.origin.commit == graph.names[1] and found.origin.put_back == graph.names[2]
    assert (found.path, found.span.line) == ("records/casks/.gitattributes", 1)


def test_a_rule_that_waits_for_a_cask_to_come_is_told_when_it_came(tmp_path: Path):
    late = {PATH: BASE, "records/casks/TH-005/TH-005001.yaml": cask(RECEIVED, cask_id="TH-005001")}
    rules = ATTRIBUTES + "records/casks/TH-005/* -diff\n"
    graph = chain(tmp_path, BASE, {PATH: BASE, ".gitattributes": rules}, {**late, ".gitattributes": rules})
    assert since(graph, 0, 1) == []
    for old in (0, 1):
        (found,) = since(graph, old, 2)
        assert (found.code, found.path, found.span.line) == (DIFF, ".gitattributes", 3) and "TH-005001.yaml" in found.message
    usual = Graph(tmp_path / "usual")
    for n, files in enumerate(({PATH: BASE}, late)):
        usual.add({**files, ".gitattributes": ATTRIBUTES + "*.yaml filter=house\n"}, *([n - 1] if n else []))
    assert since(usual) == [], "as all casks were before"


def test_git_names_the_line_whatever_the_order_and_the_form():
    from caskbook.git.attributes import attributes, deciding_lines

    files = {
        ".gitattributes": b"\xef\xbb\xbf*.yaml diff=a\n\"b k/*.yaml\" -diff\n\n[attr]none -diff -merge\n",
        "b k/casks/.gitattributes": b"*.yaml merge=x\r\n  TH-2*.yaml none\n# *.yaml diff=z\n!*.yaml diff=y\n*.yaml !merge",
    }  # fmt: skip
    one, two, three = (f"b k/{name}.yaml" for name in ("top", "casks/TH-1", "casks/TH-2"))
    found = deciding_lines(files, [one, two, three])
    lines = {path: {key: (rule.file, rule.line) for key, rule in of.items()} for path, of in found.items()}
    deep = "b k/casks/.gitattributes"
    assert lines == {
        one: {"diff": (".gitattributes", 2)},
        two: {"diff": (".gitattributes", 1), "merge": (deep, 5)},
        three: {"diff": (deep, 2), "merge": (deep, 5)},
    }
    assert attributes(files, [three])[three]["diff"] == "unset"


# At the command line, and in the work tree


@pytest.fixture
def repo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Repo:
    made = Repo(tmp_path / "house")
    made.house()
    made.write(cask(RECEIVED, EXAMINED, TESTED))
    (made.top / ".gitattributes").write_text(ATTRIBUTES)
    made.commit("first")
    monkeypatch.chdir(made.top)
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    monkeypatch.setenv("COLUMNS", "300")
    return made


def test_the_program_tells_of_a_hidden_diff(repo: Repo):
    (repo.ledger / "casks" / ".gitattributes").write_text("# quiet\n* binary\n")
    repo.commit("quiet")
    program = str(Path(sys.executable).with_name("caskbook"))
    for words in (
        ["review", "HEAD~1..HEAD"],
        ["check", "--since", "HEAD~1", "--format", "concise"],
        ["check", "--since", "HEAD~1", "--ends-only", "--format", "concise"],
    ):
        done = subprocess.run([program, *words], cwd=repo.top, capture_output=True, text=True, check=False)
        assert "`diff` of TH-004217.yaml was unspecified when it landed, is unset" in done.stdout, done
        assert "records/casks/.gitattributes:2" in done.stdout and done.returncode == (1 if words[0] == "review" else 0)
    strict = subprocess.run([program, "check", "--since", "HEAD~1", "--strict"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert strict.returncode == 1 and DIFF in strict.stdout


def lines(capsys: pytest.CaptureFixture[str], ends_only: bool, at: str | None = None) -> list[str]:
    check([], None, None, at, "first", "concise", strict=False, notes=False, ends_only=ends_only)
    return [line for line in capsys.readouterr().out.splitlines() if "landed" in line]


@crossed("how,ends_only", ["on disk", "staged and back", "committed", "unseen", "untracked"], [False, True])
def test_a_program_and_a_switch_are_told_at_the_ends_too(repo: Repo, capsys: pytest.CaptureFixture[str], how: str, ends_only: bool):
    repo.git("tag", "first")
    if how == "unseen":
        repo.git("update-index", "--assume-unchanged", PATH, ".gitattributes")
    if how == "untracked":
        (repo.ledger / "casks" / "TH-004" / ".gitattributes").write_text("* -diff\n")
        (repo.top / ".git" / "info" / "exclude").write_text("*\n")
    else:
        (repo.top / ".gitattributes").write_text(ATTRIBUTES + "*.yaml -diff\n")
    repo.path().chmod(0o755)
    if how == "committed":
        repo.commit("quiet")
    if how == "staged and back":
        repo.git("add", "-A")
        repo.path().chmod(0o644)
        (repo.top / ".gitattributes").write_text(ATTRIBUTES)
    found = lines(capsys, ends_only)
    assert [line for line in found if "this was a plain file when it landed, is a program" in line]
    where = "records/casks/TH-004/.gitattributes:1" if how == "untracked" else ".gitattributes:3"
    assert [line for line in found if line.startswith(where) and DIFF in line], found
    assert len(found) == 2, found
    if how == "committed":
        assert len(lines(capsys, ends_only, "HEAD")) == 2
    assert review(None, None, "2023-06-01", "text") == (0 if how == "committed" else 1)


@crossed("how,ends_only", ["committed", "staged", "rule landed before"], [False, True])
def test_a_rule_that_came_before_its_cask_is_told_without_a_revision_at_the_end(repo: Repo, capsys: pytest.CaptureFixture[str], how: str, ends_only: bool):
    repo.git("tag", "first")
    (repo.top / ".gitattributes").write_text(ATTRIBUTES + "records/casks/TH-005/* -diff\n")
    repo.commit("a rule for nothing yet")
    if how == "rule landed before":
        repo.git("tag", "-f", "first")
    assert lines(capsys, ends_only) == []
    repo.write(cask(RECEIVED, cask_id="TH-005001"), "TH-005001")
    repo.git("add", "-A")
    if how != "staged":
        repo.commit("its cask")
    (line,) = lines(capsys, ends_only)
    assert line.startswith(".gitattributes:3") and DIFF in line and "TH-005001.yaml" in line


def test_nothing_is_told_where_nothing_changed(repo: Repo, capsys: pytest.CaptureFixture[str]):
    repo.git("tag", "first")
    repo.path().chmod(0o600)
    (repo.top / "docs").mkdir()
    (repo.top / "docs" / ".gitattributes").write_text("* binary\n")
    assert lines(capsys, True) == lines(capsys, False) == []


def test_the_review_as_data_has_the_file_and_the_line(repo: Repo, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch):
    (repo.top / ".gitattributes").write_text("records/house.yaml merge=caskbook -text\n")
    repo.commit("dropped")
    monkeypatch.chdir(repo.ledger)
    assert review("HEAD~1..HEAD", None, "2023-06-01", "json") == 1
    rows = json.loads(capsys.readouterr().out)["altered"]
    assert {(one["code"], one["path"], one["line"]) for one in rows} == {(MERGE, "../.gitattributes", 1)} and HOUSE
    assert ledger


def test_a_second_line_that_does_the_same_is_told_once(tmp_path: Path):
    first = ATTRIBUTES + "*.yaml -diff\n"
    graph = chain(tmp_path, BASE, {PATH: BASE, ".gitattributes": first}, {PATH: BASE, ".gitattributes": first + "*.yaml -diff -x\n"})
    (found,) = since(graph, 0, 2)
    assert found.code == DIFF and found.origin.commit == graph.names[1] and found.span.line == 3


def test_git_is_asked_once_what_the_same_files_say(monkeypatch: pytest.MonkeyPatch) -> None:
    from caskbook.git.attributes import attributes

    started: list[tuple[str, ...]] = []
    process = Git._process
    monkeypatch.setattr(Git, "_process", lambda self, args, data: started.append(tuple(args)) or process(self, args, data))
    files = {".gitattributes": b"*.yaml merge=asked-once\n"}
    assert [attributes(files, [path])[path]["merge"] for path in ("a.yaml", "a.yaml", "b.txt")] == ["asked-once", "asked-once", "unspecified"]
    assert ["check-attr" in words for words in started] == [True, True]
    assert attributes({".gitattributes": b"*.yaml -merge\n"}, ["a.yaml"])["a.yaml"]["merge"] == "unset"


def test_a_review_shows_a_long_rule_whole_and_says_that_a_link_is_none(repo: Repo, capsys: pytest.CaptureFixture[str]) -> None:
    rule = "records/casks/TH-004/TH-004217.yaml foo merge=ours"
    (repo.top / ".gitattributes").write_text(f"{ATTRIBUTES}{rule}\n{'x' * 300} foo\n")
    repo.commit("long")
    review("HEAD~1..HEAD", None, "2023-06-01", "text")
    said = " ".join(capsys.readouterr().out.split())
    assert f"+ `{rule}`" in said and f"+ `{'x' * 198}…`" in said.replace(" x", "x")
    (repo.ledger / "casks" / "TH-004" / ".gitattributes").symlink_to("../../../rules")
    repo.commit("link")
    review("HEAD~1..HEAD", None, "2023-06-01", "text")
    assert "a link now, which git does not follow: no rule of it counts" in " ".join(capsys.readouterr().out.split())
