"""A changed file is always read again, an unchanged one never."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.index import refresh
from index.book import DAY, answer, cask_files, commit_all, copied, git, make_demo, same

pytestmark = pytest.mark.thorough

LOOK = ("due", "--all", "--format", "json")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("demo") / "book", 10)


@pytest.fixture(params=["git", "folder"])
def root(request: pytest.FixtureRequest, demo: Path, tmp_path: Path) -> Path:
    """A ledger whose files are old enough to be told by their stamps, and known to the index."""
    book = copied(demo, tmp_path / "book")
    old = time.time() - 3600
    for file in cask_files(book):
        os.utime(file, (old, old))
    if request.param == "git":
        commit_all(book)
    answer(book, *LOOK)
    return book


@pytest.fixture
def parsed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the files that were worked out."""
    seen: list[str] = []
    usual = refresh.Refresh.lives_of

    def noted(self, names, known):  # type: ignore[no-untyped-def]
        seen.extend(names)
        return usual(self, names, known)

    monkeypatch.setattr(refresh.Refresh, "lives_of", noted)
    return seen


def changed(file: Path) -> tuple[bytes, bytes]:
    """The file's bytes, and others as long that say something else."""
    before = file.read_bytes()
    after = before.replace(b"capacity_l: 200", b"capacity_l: 201").replace(b"capacity_l: 250", b"capacity_l: 251")
    after = after if after != before else before.replace(b"verdict: accept", b"verdict: reject")
    assert after != before and len(after) == len(before)
    return before, after


def test_nothing_changed_parses_nothing(root: Path, parsed: list[str]) -> None:
    assert answer(root, *LOOK) == answer(root, *LOOK)
    assert parsed == []


def test_a_touched_file_is_not_parsed_again(root: Path, parsed: list[str]) -> None:
    os.utime(cask_files(root)[3])
    same(root, *LOOK)
    assert parsed == []


def test_same_size_and_restored_mtime(root: Path, parsed: list[str]) -> None:
    file = cask_files(root)[3]
    time.sleep(1.1)  # git keeps whole seconds: within the one in which it took note of a file it is as blind as its own status
    about = file.stat()
    file.write_bytes(changed(file)[1])
    os.utime(file, ns=(about.st_atime_ns, about.st_mtime_ns))
    same(root, *LOOK)
    assert parsed == [f"casks/{file.parent.name}/{file.name}"]


def test_changed_there_and_back_and_there_within_one_second(root: Path) -> None:
    file = cask_files(root)[4]
    before, after = changed(file)
    for data in (after, before, after):
        file.write_bytes(data)
        same(root, *LOOK)


def test_times_of_the_future_are_not_trusted(root: Path) -> None:
    """As after the clock was set back."""
    file = cask_files(root)[5]
    before, after = changed(file)
    ahead = time.time() + 1e6
    for data in (after, before):
        file.write_bytes(data)
        os.utime(file, (ahead, ahead))
        same(root, *LOOK)


def test_new_deleted_and_renamed_files(root: Path) -> None:
    files = cask_files(root)
    files[1].unlink()
    files[2].rename(files[2].with_name("TH-009001.yaml"))
    files[3].with_name("TH-009002.yaml").write_bytes(files[3].read_bytes())
    same(root, *LOOK)


def test_another_branch_and_back_parses_each_content_once(demo: Path, tmp_path: Path, parsed: list[str]) -> None:
    root = copied(demo, tmp_path / "book")
    commit_all(root)
    answer(root, *LOOK)
    git(root, "checkout", "-q", "-b", "other")
    file = cask_files(root)[6]
    file.write_bytes(changed(file)[1])
    commit_all(root)
    same(root, *LOOK)
    parsed.clear()
    for branch in ("main", "other", "main"):
        git(root, "checkout", "-q", branch)
        same(root, *LOOK)
    assert parsed == []


def test_a_revision_is_worked_out_once(demo: Path, tmp_path: Path, parsed: list[str]) -> None:
    root = copied(demo, tmp_path / "book")
    commit_all(root)
    answer(root, *LOOK)
    file = cask_files(root)[6]
    file.write_bytes(changed(file)[1])
    commit_all(root)
    same(root, *LOOK, "--at", "HEAD")
    parsed.clear()
    same(root, *LOOK, "--at", "HEAD~1")
    same(root, *LOOK, "--at", "HEAD")
    assert parsed == []


@pytest.mark.parametrize("flag", ["--assume-unchanged", "--skip-worktree"])
def test_a_file_that_git_was_told_to_overlook_is_still_looked_at(demo: Path, tmp_path: Path, flag: str) -> None:
    root = copied(demo, tmp_path / "book")
    commit_all(root)
    file = cask_files(root)[6]
    git(root, "update-index", flag, str(file.relative_to(root)))
    answer(root, *LOOK)
    file.write_bytes(changed(file)[1])
    same(root, *LOOK)


def test_newlines_that_git_turns_are_seen(demo: Path, tmp_path: Path) -> None:
    root = copied(demo, tmp_path / "book")
    (root / ".gitattributes").write_text("*.yaml text=auto\n", encoding="utf-8")
    commit_all(root)
    file = cask_files(root)[6]
    plain = file.read_bytes()
    for data in (plain.replace(b"\n", b"\r\n"), plain):
        file.write_bytes(data)
        git(root, "add", "-A")
        same(root, "check", "--format", "json")
        same(root, *LOOK)


def test_files_that_git_ignores_count(demo: Path, tmp_path: Path) -> None:
    root = copied(demo, tmp_path / "book")
    commit_all(root)
    file = cask_files(root)[6]
    (root / ".gitignore").write_text("TH-009003.yaml\n", encoding="utf-8")
    answer(root, *LOOK)
    file.with_name("TH-009003.yaml").write_bytes(file.read_bytes())
    same(root, *LOOK)


def test_other_house_settings_are_another_answer(root: Path) -> None:
    house = root / "house.yaml"
    text = house.read_text(encoding="utf-8")
    for number in ("examine_valid_days: 5", "examine_valid_days: 30"):
        house.write_text(text.replace("examine_valid_days: 30", number), encoding="utf-8")
        same(root, *LOOK)


def test_a_donor_that_changes_changes_what_is_found_in_its_recipient(tmp_path: Path) -> None:
    root = make_demo(tmp_path / "book", 150)
    commit_all(root)
    answer(root, "check")
    gone = next(
        file
        for file in cask_files(root)
        if b"job: break-up" in file.read_bytes() and any(f"from: {file.stem}".encode() in one.read_bytes() for one in cask_files(root))
    )
    whole = gone.read_bytes()
    gone.unlink()
    _, told, _ = same(root, "check", "--format", "json")
    assert "donor-unknown" in told
    gone.write_bytes(whole)
    assert "donor-unknown" not in same(root, "check", "--format", "json")[1]


def test_a_copied_work_tree_is_soon_known_by_git_again(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Git takes all files of a copy for changed until it looks at them; from then on its word alone is enough."""
    first = copied(demo, tmp_path / "first")
    commit_all(first)
    root = copied(first, tmp_path / "book")
    answer(root, *LOOK)
    git(root, "status")
    same(root, *LOOK)
    looked: list[object] = []
    usual = refresh.compare_files
    monkeypatch.setattr(refresh, "compare_files", lambda *given: looked.append(given) or usual(*given))
    same(root, *LOOK)
    assert looked == []


def test_a_shown_cask_sees_what_other_files_say_though_git_is_not_asked(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from caskbook.index import changed_folders, peek

    root = copied(demo, tmp_path / "book")
    commit_all(root)
    monkeypatch.setattr(changed_folders, "RACY_NS", 0)  # The files are not new, for all that is known of them.
    answer(root, *LOOK)
    one, other = [file for file in cask_files(root) if b"job: dispose" not in file.read_bytes()][:2]
    asked: list[object] = []
    usual = peek.start_files_now
    monkeypatch.setattr(peek, "start_files_now", lambda *given: asked.append(given) or usual(*given))
    same(root, "show", other.stem)
    assert asked == []
    done = caskbook(
        "enter", "same-as", one.stem, "--of", other.stem, "--by", "gp", "--date", DAY, "--anyway", "--why", "two numbers", "--yes", "--records", str(root)
    )
    assert done.returncode == 0, done.stderr
    assert one.stem in same(root, "show", other.stem)[1]
    assert len(asked) == 1
    refused = caskbook("enter", "note", other.stem, "--by", "gp", "--note", "x", "--records", str(root))
    assert refused.returncode == 2 and f"same cask as {one.stem}" in refused.stderr


def test_a_file_taken_away_and_put_back_by_git_is_there_again(demo: Path, tmp_path: Path) -> None:
    root = copied(demo, tmp_path / "book")
    commit_all(root)
    answer(root, *LOOK)
    cask_files(root)[3].unlink()
    same(root, *LOOK)
    git(root, "checkout", "-q", "--", ".")
    same(root, *LOOK)
    same(root, "check", "--format", "json")
