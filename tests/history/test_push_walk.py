"""Every commit of a push is held, not its two ends: what was altered or carried in and put back again within one push."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.cli.hooks.gate import Protection, Update, outcome_of, protection_of
from caskbook.git import open_git
from history.ledgers import EXAMINED, HOUSE, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

BASE = cask(RECEIVED, EXAMINED, TESTED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")
MERGES = "casks/** merge=caskbook -text\nhouse.yaml merge=caskbook-house -text\n"
DATED = "test_limit_psi: [{since: 2000-01-01, value: 11}]\n"


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A server with the gate, and a bench that has pushed its first day's work there."""
    place = tmp_path_factory.mktemp("template")
    bench = ledger(place, name="bench")
    bench.house(HOUSE + DATED)
    (bench.ledger / ".gitattributes").write_text(MERGES)
    bench.commit("second")
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(place / "srv.git")], check=True)
    assert caskbook("git", "install", "--server", str(place / "srv.git")).returncode == 0
    bench.git("remote", "add", "origin", "../srv.git")
    bench.git("push", "-q", "origin", "main")
    return place


@pytest.fixture
def bench(template: Path, tmp_path: Path) -> Repo:
    shutil.copytree(template, tmp_path / "both", symlinks=True)
    return Repo(tmp_path / "both" / "bench")


def judged(bench: Repo, ref: str = "main", *, strict: bool = False, old: str | None = "origin/main") -> str:
    """What the gate says of a push of HEAD, in this process, with its verdict."""
    git = open_git(bench.top)
    update = Update(git.resolve(old) if old else None, git.resolve("HEAD"), f"refs/heads/{ref}")
    found = outcome_of(git, update, Protection(frozenset({"main"}), {"main": git.resolve("origin/main")}), strict=strict)
    return "\n".join([*found.lines, *(["REFUSED"] if found.refused else [])])


def back(bench: Repo, alter: Callable[[Repo], object]) -> str:
    """A commit that alters, and one that puts all back: the two ends are the same. The name of the first."""
    alter(bench)
    made = bench.commit("alter \x1b[31mred")
    bench.git("rm", "-rfq", ".")
    bench.git("checkout", "origin/main", "--", ".")
    bench.commit("back")
    return made[:10]


def shell(line: str) -> Callable[[Repo], object]:
    return lambda bench: subprocess.run(["sh", "-c", line], cwd=bench.top, check=True, stdout=subprocess.DEVNULL)


ALTERED = {
    "landed-event-altered": shell("sed -i 's/psi: 11/psi: 12/' records/casks/TH-004/TH-004217.yaml"),
    "landed-file-removed": shell("rm records/casks/TH-004/TH-004217.yaml"),
    "landed-mode-changed": shell("chmod +x records/casks/TH-004/TH-004217.yaml"),
    "landed-setting-changed": shell("sed -i 's/value: 11/value: 12/' records/house.yaml"),
    "`crew.kd": shell("sed -i '/initials: kd/d' records/house.yaml"),
}
CARRIED = {
    "symbolic-link": shell("ln -s TH-004217.yaml records/casks/TH-004/TH-004219.yaml"),
    "pending-in-git": shell("mkdir records/.pending; echo x > records/.pending/journal.json"),
    "index-in-git": shell("mkdir records/.caskbook; echo x > records/.caskbook/index.sqlite"),
    "bare-repository": shell("mkdir objects refs; echo x | tee HEAD objects/x refs/x"),
    "second-house": shell("cp records/house.yaml house.yaml"),
    "name-not-utf8": shell("cp records/casks/TH-004/TH-004217.yaml \"records/casks/TH-004/TH$(printf '\\377').yaml\""),
}


@pytest.mark.parametrize("told", [*ALTERED, *CARRIED])
def test_what_is_put_back_within_a_push_is_told_with_its_commit_and_author(bench: Repo, told: str):
    made = back(bench, (ALTERED | CARRIED)[told])
    out = judged(bench)
    assert told in out and f"({made}, Tester, " in out and out.endswith("REFUSED"), out
    assert out.count(made) == 1, "told once"


@pytest.mark.parametrize("told", ["landed-file-removed", "symbolic-link"])
def test_the_server_itself_refuses_it(bench: Repo, told: str):
    made = back(bench, (ALTERED | CARRIED)[told])
    out = bench.git("push", "origin", "main", good=(1,))
    assert "remote: " in out and told in out and made in out and "Tester" in out


@pytest.mark.parametrize("hidden", [False, True])
def test_a_gitlink_carried_in_and_away_is_told(bench: Repo, hidden: bool):
    if hidden:  # git itself then leaves it out wherever it compares
        (bench.top / ".gitmodules").write_text('[submodule "x"]\n\tpath = records/casks/TH-011\n\turl = ./x\n\tignore = all\n')
        bench.git("add", ".gitmodules")
    bench.git("update-index", "--add", "--cacheinfo", f"160000,{bench.head()},records/casks/TH-011")
    bench.git("commit", "-q", "--no-verify", "-m", "link")
    bench.git("rm", "-q", "--cached", "records/casks/TH-011")
    bench.git("commit", "-q", "--no-verify", "-m", "unlink")
    out = judged(bench)
    assert "submodule-in-casks" in out and out.endswith("REFUSED")


def test_a_head_with_a_hidden_sign_in_it_is_altered_no_more_than_another(bench: Repo):
    landed = (
        bench.path()
        .read_text()
        .replace("prior:\n  - {contents: bourbon, fills: 1}", "prior:\n  - {fills: 1, contents:\n      bourbon\n      # told\u202eby\n    }")
    )
    bench.write(landed)
    base = bench.commit("as from before the gate")
    bench.write(landed.replace("bourbon\n", "sherry\n"))
    bench.commit("altered")
    assert "\u202e" in landed and "landed-head-changed" in judged(bench, old=base) and judged(bench, old=base).endswith("REFUSED")
    for words in (("check", "--since", base), ("check", "--new-since", base), ("review", f"{base}..HEAD")):
        done = caskbook(*words, cwd=bench.top)
        assert done.returncode == 1 and "`prior` was" in done.stdout, done.stdout


def test_a_side_that_was_altered_and_put_back_comes_by_a_merge_no_more_than_alone(bench: Repo):
    bench.git("checkout", "-q", "-b", "side")
    made = back(bench, ALTERED["landed-event-altered"])
    bench.git("checkout", "-q", "main")
    (bench.top / "other.txt").write_text("x")
    bench.commit("ours")
    bench.git("merge", "-q", "--no-edit", "side")
    assert made in judged(bench) and judged(bench).endswith("REFUSED")


@pytest.mark.parametrize("text", ["", "casks/** text\n"])
def test_our_merge_switched_off_is_told_as_check_does_and_refused_where_it_is_strict(bench: Repo, text: str):
    place = bench.ledger / ".gitattributes"
    if text:
        place.write_text(text)
    else:
        place.unlink()
    bench.commit("off")
    out = judged(bench)
    assert "warning landed-merge-switched-off" in out and "REFUSED" not in out
    assert judged(bench, strict=True).endswith("REFUSED")
    done = caskbook("check", "--strict", "--new-since", "origin/main", cwd=bench.top)
    assert done.returncode == 1 and "landed-merge-switched-off" in done.stdout


def test_a_strict_server_refuses_a_push_that_switches_our_merge_off(bench: Repo):
    assert caskbook("git", "install", "--server", "--strict", str(bench.top.parent / "srv.git")).returncode == 0
    (bench.ledger / ".gitattributes").unlink()
    bench.commit("off")
    out = bench.git("push", "origin", "main", good=(1,))
    assert "remote: records/.gitattributes:1:1: warning landed-merge-switched-off" in out and "nothing of this push is taken" in out


def test_a_free_branch_is_said_to_be_free(bench: Repo):
    bench.write(BASE + event("gqx00001", "2015-07-01", "fill", "spirit: malt", "litres: 900", "abv: 63.5", "at_20: true"))
    bench.commit("a warning")
    out = bench.git("push", "origin", "main:side")
    assert "fill-while-unexamined" in out and "side is not protected: it is refused for altered history only, so this is taken" in out
    assert "fill-while" in judged(bench) and "not protected" not in judged(bench)


def test_a_history_of_its_own_is_said_to_be_unjudged(bench: Repo):
    bench.git("checkout", "-q", "--orphan", "apart")
    bench.commit("apart")
    assert "apart shares no history with a protected branch, so it is not judged" in judged(bench, "apart", old=None)


def test_a_first_push_tells_what_its_history_altered(bench: Repo):
    made = back(bench, ALTERED["landed-event-altered"])
    git = open_git(bench.top)
    found = outcome_of(git, Update(None, git.resolve("HEAD"), "refs/heads/main"), Protection())
    assert any("landed-event-altered" in line and made in line for line in found.lines) and not found.refused


def test_the_main_branch_is_protected_before_it_is_there(bench: Repo):
    """A branch that HEAD names comes into being by a push like any other: with no new error over what is there."""
    bench.git("branch", "old", "origin/main")
    bench.git("symbolic-ref", "HEAD", "refs/heads/fresh")
    assert "fresh" in protection_of(open_git(bench.top)).names


def test_the_cost_goes_with_the_commits_that_carry_something_in(bench: Repo, monkeypatch: pytest.MonkeyPatch):
    for n in range(3):
        bench.write(BASE + "".join(NOTED.replace("gqw00001", f"gqw0000{k}") for k in range(n + 1)))
        bench.commit(f"day {n}")
    from caskbook.checks import carried_in_push

    monkeypatch.setattr(carried_in_push, "errors_in", lambda *_: pytest.fail("a whole tree was read"))
    assert "error" not in judged(bench)


def test_an_author_with_terminal_signs_reaches_no_screen_and_a_replaced_commit_hides_nothing(bench: Repo):
    bench.git("config", "user.name", "A\x1b[31mB")
    made = back(bench, ALTERED["landed-event-altered"])
    bench.git("replace", made, "origin/main")
    out = judged(bench)
    assert f"({made}, A?[31mB, " in out and "\x1b" not in out and out.endswith("REFUSED")


def test_a_house_that_went_away_and_came_back_hides_nothing(bench: Repo):
    shell("git rm -q records/house.yaml")(bench)
    bench.git("commit", "-q", "--no-verify", "-m", "away")
    shell("sed -i 's/psi: 11/psi: 12/' records/casks/TH-004/TH-004217.yaml")(bench)
    bench.git("commit", "-qa", "--no-verify", "-m", "altered")
    bench.git("checkout", "origin/main", "--", "records/house.yaml")
    bench.git("commit", "-q", "--no-verify", "-m", "back")
    told = judged(bench)
    assert "landed-file-removed" in told and "landed-event-altered" in told and told.endswith("REFUSED"), told
    for words in (("check", "--since", "origin/main"), ("review", "origin/main..HEAD")):
        done = caskbook(*words, cwd=bench.top)
        assert done.returncode == 1 and "`psi` was 11" in done.stdout and not done.stderr, (done.stdout, done.stderr)


def test_the_main_branch_stays_protected_when_the_one_that_head_names_comes(bench: Repo, tmp_path: Path):
    server = tmp_path / "late.git"
    subprocess.run(["git", "init", "-q", "--bare", "-b", "master", str(server)], check=True)
    assert caskbook("git", "install", "--server", str(server)).returncode == 0
    for words in (("main~1:refs/heads/main",), ("main:refs/heads/main",), ("main~1:refs/heads/master",)):
        bench.git("push", "-q", "--no-verify", str(server), *words)
    done = subprocess.run(["git", "push", "-f", "--no-verify", str(server), "main~1:main"], cwd=bench.top, capture_output=True, text=True, check=False)
    assert done.returncode != 0 and "main is protected" in done.stderr, done.stderr


@pytest.mark.parametrize(
    ("was", "now", "told"),
    [
        ("", "severities: {over-capacity: note}\n", "warning over-capacity"),
        ("severities: {over-capacity: error}\n", "severities: {over-capacity: note}\n", "error over-capacity"),
        ("severities: {over-capacity: error}\n", "", "error over-capacity"),
        ("severities: {over-capacity: note}\n", "severities: {over-capacity: error}\n", "error over-capacity"),
    ],
)
def test_a_finding_is_as_grave_as_before_the_push_that_brings_it(bench: Repo, was: str, now: str, told: str):
    """What lowers a severity and what that lets through come in one push, in two commits or in one."""
    house = bench.ledger / "house.yaml"
    plain = house.read_text()
    house.write_text(plain + was)
    bench.commit("as it stood")
    bench.git("push", "-q", "origin", "main")
    house.write_text(plain + now)
    bench.commit("other severities")
    full = BASE + event("gqx00001", "2015-04-02", "fill", "spirit: malt", "litres: 900", "abv: 63.5", "at_20: true")
    bench.write(full)
    bench.commit("more than it holds")
    out = judged(bench, strict=True)
    assert told in out and out.endswith("REFUSED")
    assert ("only from here on: bring that by itself first" in out) is ("note" in now or not now)
    assert caskbook("check", "--strict", "--new-since", "origin/main", cwd=bench.top).returncode == 1


def test_a_severity_that_landed_counts_for_what_comes_after_it(bench: Repo):
    house = bench.ledger / "house.yaml"
    house.write_text(house.read_text() + "severities: {over-capacity: note}\n")
    bench.write(BASE + event("gqx00001", "2015-04-02", "fill", "spirit: malt", "litres: 900", "abv: 63.5", "at_20: true"))
    bench.commit("more than it holds")
    assert "warning over-capacity" in judged(bench, strict=True)
    bench.git("checkout", "-q", "HEAD~1", "--", bench.path().as_posix())
    bench.git("commit", "-q", "--amend", "-m", "the severity alone")
    bench.git("push", "-q", "origin", "main")
    bench.write(BASE + event("gqx00001", "2015-04-02", "fill", "spirit: malt", "litres: 900", "abv: 63.5", "at_20: true"))
    bench.commit("more than it holds")
    assert judged(bench, strict=True) == ""
