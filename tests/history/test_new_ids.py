"""One id of two entries, united by a merge, in real repositories: two benches, the hooks, the gate, the review; and what stays refused."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from commands import caskbook
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.checks.history import append_only, append_only_since
from caskbook.checks.new_ids import by_merge
from caskbook.cli.commands.git import install
from caskbook.cli.commands.settle import run as settle
from caskbook.cli.hooks.pre_commit import check_index, sides_of
from caskbook.git import open_git
from caskbook.ledger.changes import compare
from caskbook.merge import merge
from caskbook.model.cask_file import read_record
from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

BASE = cask(RECEIVED, EXAMINED, TESTED)
SAME = "a0000abc"
ONE = event(SAME, "2023-06-01", "mark", "text: K1", "kind: tag", "at: head-A", "sheet: k1")
OTHER = event(SAME, "2023-06-02", "mark", "text: K2", "kind: tag", "at: head-A", "sheet: k2")
LATER = event("gqz00001", "2023-06-03", "note", "note: later")
VOID = event("gqw00009", "2023-06-03", "void", f"of: {SAME}", "why: wrong cask")


def united(*sides: str, base: str = BASE) -> str:
    found = merge(base.encode(), *(side.encode() for side in sides))
    assert found.clean
    return found.data.decode()


UNITED = united(BASE + ONE, BASE + OTHER)


def codes(parent: str, other: str, now: str) -> list[str]:
    record = [read_record("casks/TH-004/TH-004217.yaml", text.encode()) for text in (parent, now)]
    return [one.code for one in append_only([by_merge(compare(*record), [other.encode()])[0]]) if one.severity == "error"]


def test_the_merge_of_two_entries_is_lawful_against_both_parents_and_no_other_change_is() -> None:
    one, other = BASE + ONE, BASE + OTHER
    assert codes(one, other, UNITED) == codes(other, one, UNITED) == []
    by_hand = BASE + ONE + OTHER.replace(SAME, "gqzz0001")
    assert codes(one, other, by_hand) == codes(other, one, by_hand) == []
    for wrong in (by_hand.replace("K1", "K3"), by_hand.replace("K2", "K3"), one, BASE + ONE + OTHER.replace(SAME, "gqzz0001").replace("ab", "kd")):
        assert codes(other, one, wrong), wrong
    assert codes(other + VOID, one, by_hand + VOID)  # the void spoke of another entry
    shared = event(SAME, "2023-06-02", "swap-heads", "with: TH-004218", "heads: [A]", "why: worn")
    assert codes(BASE + shared, one, one + shared.replace(SAME, "gqzz0001"))  # the other cask's file knows it by its id
    assert codes(other, BASE, by_hand) and codes(other, other, by_hand)  # no parent holds this under the id


changes: dict[str, Callable[[str], str]] = {
    "a figure": lambda text: text.replace("psi: 11", "psi: 12"), "its text": lambda text: text.replace("K1", "K3"), "the other's text": lambda text: text.replace("K2", "K3"),
    "an entry gone": lambda text: text.replace(TESTED, ""), "a head": lambda text: text.replace("staves: 31", "staves: 30"),
    "out of order": lambda text: text.replace(RECEIVED + EXAMINED, EXAMINED + RECEIVED),
}  # fmt: skip


@given(
    st.sampled_from(("2015-03-20", "2023-06-01", "2023-06-02")), st.sampled_from(("2015-03-20", "2023-06-01", "2023-06-02")), st.sampled_from((None, *changes))
)
@settings(max_examples=many(90), deadline=None)
def test_the_driver_makes_what_the_law_takes_and_the_law_takes_nothing_else(one: str, other: str, change: str | None) -> None:
    sides = [
        cask(*sorted((RECEIVED, EXAMINED, TESTED, text), key=lambda part: part.split("date: ")[1][:10]))
        for text in (ONE.replace("2023-06-01", one), OTHER.replace("2023-06-02", other))
    ]
    if any("2015-03-20" in part for part in (one, other)):
        sides = [
            cask(RECEIVED, EXAMINED, *sorted((TESTED, text), key=lambda part: (part.split("date: ")[1][:10], part[8:16])))
            for text in (ONE.replace("2023-06-01", one), OTHER.replace("2023-06-02", other))
        ]
    now = united(*sides)
    now = changes[change](now) if change else now
    broken = codes(sides[0], sides[1], now) + codes(sides[1], sides[0], now)
    assert bool(broken) is bool(change), broken


def test_one_row_of_a_sheet_under_two_names_is_lawful_and_an_altered_name_is_not() -> None:
    one, other = BASE + ONE, BASE + ONE.replace("sheet: k1", "sheet: a")
    now = united(one, other)
    assert codes(one, other, now) == codes(other, one, now) == []
    assert codes(one, other, now.replace("sheet: a", "sheet: b")) and codes(one, other, now.replace("K1", "K3")) and codes(one, BASE, now)


@pytest.fixture
def repo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Repo:
    """A ledger with the driver; branch `one` has ONE, branch `other` has OTHER under the same id."""
    made = ledger(tmp_path)
    monkeypatch.chdir(made.top)
    monkeypatch.setenv("HOME", str(tmp_path))
    install()
    made.git("config", "core.hooksPath", ".git/no-hooks")
    made.write(BASE)
    made.commit("base")
    for name, text in (("one", ONE), ("other", OTHER)):
        made.git("checkout", "-q", "-b", name, "main")
        made.write(BASE + text)
        made.commit(name)
    return made


def broken(repo: Repo, since: str) -> list[str]:
    return [one.code for one in append_only_since(repo.ledger, since) if one.severity == "error"]


def test_benches_that_merge_each_other_end_alike_and_lawfully(repo: Repo) -> None:
    repo.git("merge", "-q", "--no-edit", "one")
    assert repo.path().read_text() == UNITED and not broken(repo, "one") and not broken(repo, "other") and not broken(repo, "main")
    repo.git("checkout", "-q", "-b", "again", "one")
    repo.write(BASE + ONE + LATER)
    repo.commit("later")
    repo.git("merge", "-q", "--no-edit", "other~0")
    assert repo.path().read_text() == UNITED + LATER
    repo.git("merge", "-q", "--no-edit", "other")
    assert repo.path().read_text() == UNITED + LATER and not broken(repo, "one") and not broken(repo, "other")
    repo.write((UNITED + LATER).replace("K1", "K7"))
    repo.commit("altered")
    assert "landed-event-altered" in broken(repo, "one") and "landed-event-altered" in broken(repo, "other")


def test_a_rebase_leaves_the_id_to_what_landed(repo: Repo) -> None:
    for branch, upon in (("other", "one"), ("one", "main")):
        tip = repo.git("rev-parse", upon).strip()
        repo.git("checkout", "-q", branch)
        repo.git("rebase", "-q", upon)
        assert not broken(repo, tip)
    repo.git("checkout", "-q", "-b", "third", "main")
    repo.write(BASE + ONE)
    repo.commit("third")
    repo.write(BASE + ONE + LATER)
    repo.commit("later")
    repo.git("checkout", "-q", "-b", "landed", "main")
    repo.write(BASE + OTHER)
    tip = repo.commit("landed")
    repo.git("checkout", "-q", "third")
    repo.git("rebase", "-q", "landed")
    assert not broken(repo, tip) and repo.path().read_text().count("- id:") == 6 and OTHER in repo.path().read_text()


def test_settle_and_the_check_before_a_merge_take_it(repo: Repo, capsys: pytest.CaptureFixture[str]) -> None:
    repo.git("config", "merge.caskbook.driver", "false")
    repo.git("merge", "-q", "--no-edit", "one", good=(1,))
    assert settle() == 0 and repo.path().read_text() == UNITED
    assert "was the id of two entries" in capsys.readouterr().err
    assert not check_index(repo.ledger, sides_of(open_git(repo.top))).stops
    repo.write(UNITED.replace("K2", "K3"))
    repo.git("add", "-A")
    assert check_index(repo.ledger, sides_of(open_git(repo.top))).stops


@pytest.mark.parametrize(("landed", "bench"), [("one", "other"), ("other", "one")])
def test_the_gate_takes_it_and_the_review_names_it(repo: Repo, tmp_path: Path, landed: str, bench: str) -> None:
    server = tmp_path / "server.git"
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(server)], check=True)
    assert caskbook("git", "install", "--server", str(server)).returncode == 0
    repo.git("remote", "add", "origin", str(server))
    repo.git("push", "-q", "origin", f"{landed}:main")
    texts = {"one": ONE, "other": OTHER}
    repo.git("checkout", "-q", "-b", "no-merge", landed)
    repo.write(BASE + texts[landed].replace(SAME, "a0000abcd1") + texts[bench])
    repo.commit("the same without a merge")
    refused = subprocess.run(["git", "push", "-q", "origin", "no-merge:main"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert refused.returncode == 1 and "landed-event-altered" in refused.stderr
    repo.git("checkout", "-q", bench)
    repo.git("merge", "-q", "--no-edit", landed)
    assert repo.path().read_text() == UNITED
    repo.git("push", "-q", "origin", f"{bench}:main")
    for span in (f"{landed}..{bench}", f"main..{bench}"):
        told = caskbook("review", span, cwd=repo.top)
        assert told.returncode == 0 and told.stdout.count("under its id") == 1 and "none of its sides had" not in told.stdout, told.stdout + told.stderr
    assert caskbook("check", "--since", landed, cwd=repo.top).returncode == 0


@pytest.mark.parametrize("by_hand", [False, True])
def test_undo_puts_out_the_runs_own_entry_and_never_the_other_sides(tmp_path: Path, by_hand: bool):
    bench = ledger(tmp_path)
    base = bench.path().read_text()
    assert caskbook("enter", "note", "TH-004217", "--note", "mine", "--by", "ab", "--date", "2023-11-25", "--yes", cwd=bench.top).returncode == 0
    mine = bench.path().read_text()
    own = mine.removeprefix(base).split("id: ")[1].partition("\n")[0]
    found = merge(base.encode(), mine.encode(), (base + event(own, "2023-11-24", "note", "note: theirs")).encode())
    new = found.data.decode().rpartition("id: ")[2].partition("\n")[0]
    assert found.clean and new != own and new.startswith(own)
    bench.write(found.data.decode().replace("note: mine", "note: mine  # seen"[: 18 if by_hand else 10]))
    bench.commit()
    done = caskbook("undo", "--why", "no", "--by", "ab", "--yes", cwd=bench.top)
    assert f"of: {own}\n" not in bench.path().read_text()
    assert (done.returncode != 0 and f"caskbook void TH-004217 {new}" in done.stderr) if by_hand else f"of: {new}\n" in bench.path().read_text()


def test_a_merge_under_way_and_a_comparison_of_the_ends_alone_alarm_nobody(tmp_path: Path) -> None:
    bench = ledger(tmp_path, RECEIVED, EXAMINED, TESTED)
    bench.git("checkout", "-q", "-b", "other")
    bench.write(BASE + ONE)
    bench.commit("one")
    bench.git("checkout", "-q", "main")
    bench.write(BASE + OTHER)
    bench.commit("other")
    bench.git("tag", "before")
    bench.git("merge", "-q", "-s", "ours", "--no-commit", "other")
    bench.write(UNITED)
    for _ in ("in the work tree", "staged"):
        for words in (("--since", "HEAD"), ("--since", "HEAD", "--ends-only")):
            done = caskbook("check", *words, cwd=bench.top)
            assert done.returncode == 0 and "landed-event-altered" not in done.stdout, done.stdout
        said = caskbook("review", cwd=bench.top)
        assert said.returncode == 0 and "now: the other side of the merge had" in said.stdout and "tag K2" not in said.stdout.partition("commit ")[0], (
            said.stdout
        )
        bench.git("add", "-A")
    bench.commit("merged")
    done = caskbook("check", "--since", "before", "--ends-only", cwd=bench.top)
    assert done.returncode == 0 and "landed-event-altered" not in done.stdout, done.stdout
    bench.write(UNITED.replace("K2", "K3"))
    bench.commit("altered")
    assert caskbook("check", "--since", "before", "--ends-only", cwd=bench.top).returncode == 1
