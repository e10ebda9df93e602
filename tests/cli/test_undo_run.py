"""undo: it says what, when and whose, takes a run back whole, and takes nothing from under what came since. At the bench, line by line of a shift."""

from __future__ import annotations

import contextlib
import json
import subprocess
from pathlib import Path
from typing import Any

import pytest
import yaml
from cli.test_bench import at_bench
from cli.test_bench import house as house
from cli.test_enter import at_terminal, finished
from commands import caskbook
from entry.conftest import shop as shop
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES
from run_notes import noted, put_note

from caskbook.cli.commands.redate import redate
from caskbook.cli.commands.shift import run as shift
from caskbook.cli.commands.undo import undo
from caskbook.core.finding import CaskbookError
from caskbook.entry import write
from caskbook.ledger import pending_writes
from caskbook.ledger.pending_writes import Changes

READY = STATES["ready"] or []
FILL = {"date": days_ago(0), "job": "fill", "by": "kd", "spirit": "malt", "litres": 190, "abv": 63, "temp_c": 12}
SEVEN = ("TH-007005", "TH-007006", "TH-007007", "TH-007008")


def in_git(shop: Shop) -> None:
    subprocess.run(["git", "init", "-q", str(shop.root.parent)], check=True)


def by_hand(shop: Shop, event: dict[str, Any], cask: str = CASK) -> None:
    """Somebody else adds an entry at the end of a file."""
    text = yaml.safe_dump([{"id": "zzzzzzz1", **event}], sort_keys=False)
    path = shop.path(cask)
    path.write_text(path.read_text(encoding="utf-8") + "".join(f"  {line}\n" for line in text.splitlines()), encoding="utf-8")


@pytest.mark.thorough
def test_it_names_job_day_and_person(shop: Shop) -> None:
    in_git(shop)
    shop.put(*READY)
    shop.put(*READY, cask="TH-004218")
    assert shop.enter("shave", CASK, "TH-004218", "flail", "--date", days_ago(1).isoformat(), "--by", "kd", "--yes").code == 0
    ran = shop.run(undo, "--dry-run")
    day = days_ago(1)
    assert ran.code == 0 and ran.err.splitlines() == [
        f"{cask}  open: head A and B out; shave: flail on {day:%A} {day}  (kd)" for cask in (CASK, "TH-004218")
    ], ran.err
    assert "nobody to ask" in shop.run(undo).err and shop.last()["job"] == "shave"
    assert shop.run(undo, "--yes").code == 0 and shop.last()["job"] == shop.last("TH-004218")["job"] == "examine"


@pytest.mark.thorough
def test_a_redated_sheet_is_taken_back_whole(shop: Shop) -> None:
    in_git(shop)
    for cask in SEVEN:
        shop.put(*READY, cask=cask)
    assert shop.enter("test", *SEVEN, "pass", "--psi", "11", "--sheet", "B-17", "--yes").code == 0
    before = {cask: shop.path(cask).read_bytes() for cask in SEVEN}
    assert shop.run(redate, "--sheet", "B-17", "--date", days_ago(1).isoformat(), "--yes").code == 0
    assert {cask: shop.path(cask).read_bytes() for cask in SEVEN} != before
    assert shop.run(undo, "--yes").code == 0 and {cask: shop.path(cask).read_bytes() for cask in SEVEN} == before


@pytest.mark.thorough
@pytest.mark.parametrize("landed", [False, True])
@pytest.mark.parametrize(
    ("entered", "since", "why"),
    [
        (["test", CASK, "pass", "--psi", "11"], {"date": days_ago(0), "job": "note", "by": "kd", "note": "x", "replaces": "RUN", "why": "y"}, "it names"),
        (["fill", CASK, "--spirit", "malt", "--litres", "190", "--abv", "63", "--temp", "12"], {"date": days_ago(0), "job": "sample", "by": "kd", "ml": 100}, "sample on an empty cask"),
        (["shave", CASK, "flail"], {"date": days_ago(0), "job": "char", "by": "kd", "level": 3}, "char with the cask closed"),
        (["receive", "TH-009001", "accept", "--type", "barrel"], {"date": days_ago(0), "job": "note", "by": "kd", "note": "x"}, "the cask came with it"),
        (["test", CASK, "fail", "--psi", "11", "--leaks", "joint-3"], {"date": days_ago(0), "job": "drive", "by": "kd", "answers": ["RUN/joint-3"]}, "it names"),
    ],
)  # fmt: skip
def test_what_came_since_and_rests_on_it_stops_it(shop: Shop, entered: list[str], since: dict[str, Any], why: str, landed: bool) -> None:
    in_git(shop)
    cask = entered[1]
    shop.put(*READY)
    assert shop.enter(*entered, "--yes").code == 0
    run = shop.last(cask)["id"]
    by_hand(shop, json.loads(json.dumps(since, default=str).replace("RUN", run)) | {"date": since["date"]}, cask)
    if landed:
        for words in (["add", "-A"], ["-c", "user.name=x", "-c", "user.email=x@y", "commit", "-qm", "x"]):
            subprocess.run(["git", "-C", str(shop.root.parent), *words], check=True)
    before = shop.path(cask).read_bytes()
    ran = shop.run(undo, "--yes")
    assert ran.code == 2 and f"(zzzzzzz1, kd) came since and rests on it: {why}" in ran.err, ran.err
    assert "nothing taken back" in ran.err and f"caskbook void {cask} " in ran.err and shop.path(cask).read_bytes() == before


def test_what_came_since_and_does_not_rest_on_it_does_not(shop: Shop) -> None:
    in_git(shop)
    failed = {"date": days_ago(0), "job": "test", "psi": 11, "result": "fail", "leaks": [{"at": "joint-3"}]}
    shop.put(*READY, failed, FILL)  # which this test, entered late, makes well
    assert shop.codes() == ["fill-while-failed"]
    assert shop.enter("test", CASK, "pass", "--psi", "11", "--date", days_ago(0).isoformat(), "--before", "e0000004").code == 0
    assert shop.codes() == []
    by_hand(shop, {"date": days_ago(0), "job": "note", "by": "kd", "note": "wet"})
    ran = shop.run(undo, "--yes")
    assert ran.code == 0 and [one["job"] for one in shop.data()["events"]] == ["receive", "examine", "test", "fill", "note"], ran.err


def test_of_a_run_on_many_casks_all_stays_where_one_is_built_on_and_how_many_are_is_told(shop: Shop) -> None:
    in_git(shop)
    for cask in SEVEN:
        shop.put(*READY, cask=cask)
    assert shop.enter("shave", *SEVEN, "flail", "--yes").code == 0
    for cask in SEVEN[1:]:
        by_hand(shop, {"date": days_ago(0), "job": "char", "by": "kd", "level": 3}, cask)
    before = {cask: shop.path(cask).read_bytes() for cask in SEVEN}
    ran = shop.run(undo, "--yes")
    assert ran.code == 2 and "TH-007006: its char" in ran.err and "(2 casks more of the run are so)" in ran.err, ran.err
    assert {cask: shop.path(cask).read_bytes() for cask in SEVEN} == before


class Killed(BaseException):
    """The machine stops."""


@pytest.mark.thorough
@pytest.mark.parametrize("count", [1, 2])
@pytest.mark.parametrize("when", ["before", "after", "unfinished"])
def test_a_run_that_was_cut_off_is_the_last_one_if_the_book_has_it(shop: Shop, monkeypatch: pytest.MonkeyPatch, count: int, when: str) -> None:
    """`unfinished`: it counts as written, and the next command puts its files in place; of one file alone there is no such."""
    in_git(shop)
    others = ["TH-004218", "TH-004219"][:count]
    for cask in (CASK, *others):
        shop.put(*READY, cask=cask)
    assert shop.enter("note", CASK, "--note", "the older", "--by", "kd", "--yes").code == 0
    real = write.write_changes

    def no_room(*_: object) -> list[str]:
        raise CaskbookError("no space left on device")

    def cut_off(root: Path, changes: Changes) -> None:
        if when != "before":
            with contextlib.suppress(CaskbookError):
                real(root, changes)
        raise Killed

    with monkeypatch.context() as patched:
        patched.setattr(write, "write_changes", cut_off)
        if when == "unfinished":
            patched.setattr(pending_writes, "_complete", no_room)
        with pytest.raises(Killed):
            shop.enter("note", *others, "--note", "the later", "--by", "kd", "--yes")
    ran = shop.run(undo, "--yes")
    assert ran.code == 0, ran
    assert shop.last()["job"] == (READY[-1]["job"] if when == "before" else "note")
    assert all("the later" not in shop.path(cask).read_text(encoding="utf-8") for cask in others)
    ran = shop.run(undo, "--yes")
    assert ran.code == 2 and "no run to take back is known here" in ran.err


def test_a_run_that_was_refused_leaves_the_one_before_the_last(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.put(*READY)
    in_git(shop)
    assert shop.enter("note", CASK, "--note", "the older", "--by", "kd", "--yes").code == 0
    with monkeypatch.context() as patched:
        patched.setattr(write, "write_many", refuse)
        assert shop.enter("note", CASK, "--note", "the later", "--by", "kd", "--yes").code == 2
    assert shop.run(undo, "--yes").code == 0 and shop.last()["job"] == READY[-1]["job"]


def refuse(*_: object) -> None:
    raise CaskbookError("changed meanwhile; nothing written")


def test_a_note_of_before_takes_back_as_it_did(shop: Shop) -> None:
    in_git(shop)
    shop.put(*READY)
    assert shop.enter("note", CASK, "--note", "x").code == 0
    kept = noted(shop.root)
    del kept["files"][0]["known"]
    put_note(shop.root, kept)
    assert shop.run(undo).code == 0 and shop.last()["job"] == "examine"


def test_at_the_bench_it_goes_on_with_the_lines_of_benches_before(house: Shop) -> None:
    before = {cask: house.path(cask).read_bytes() for cask in SEVEN}
    at_bench(house, "test 7005 p --psi 11", "7006 f j3")
    middle = {cask: house.path(cask).read_bytes() for cask in SEVEN}
    ran = at_bench(house, "test 7007..7008 p --psi 11", "undo", "undo", begin=False)
    assert ran.code == 0 and f"TAKEN BACK  TH-007007, TH-007008  test: pass, 11 psi  {days_ago(0):%a} {days_ago(0)}, ab" in ran.err, ran.err
    assert f"TAKEN BACK  TH-007006  test: FAIL at joint-3, 11 psi  {days_ago(0):%a} {days_ago(0)}, ab" in ran.err
    assert house.path(SEVEN[0]).read_bytes() == middle[SEVEN[0]] and house.path(SEVEN[1]).read_bytes() == before[SEVEN[1]]
    ran = at_bench(house, "undo", "undo", begin=False)
    assert {cask: house.path(cask).read_bytes() for cask in SEVEN} == before
    assert ran.code == 1 and ran.err.count("TAKEN BACK") == 1 and "NOT WRITTEN  nothing to take back in this shift" in ran.err


def test_what_another_command_wrote_in_the_shift_is_of_the_shift_and_what_another_hand_did_is_not(house: Shop) -> None:
    assert house.run(shift, "ab").code == 0
    assert house.enter("test", SEVEN[0], "pass", "--psi", "11").code == 0
    assert house.enter("note", SEVEN[1], "--note", "x", "--by", "kd").code == 0
    ran = at_bench(house, "undo", "undo", begin=False)
    assert ran.code == 1 and "TAKEN BACK  TH-007005" in ran.err and house.last(SEVEN[1])["job"] == "note"


@pytest.mark.thorough
def test_what_runs_and_shifts_keep_for_undo_is_no_stray_file(house: Shop) -> None:
    at_bench(house, "test 7005 p --psi 11", "undo", "7006 p")
    caskbook("list", "--records", str(house.root))
    kept = {path.name.partition("-")[0] for path in (house.root / ".caskbook").iterdir()}
    assert kept >= {".gitignore", "lock", "index.lock", "last", "shift", "index"}
    done = caskbook("check", "--records", str(house.root), "--format", "json")
    assert "stray-file" not in done.stdout, done.stdout


def test_a_shift_begun_anew_knows_no_line_of_the_one_before(house: Shop) -> None:
    at_bench(house, "test 7005 p --psi 11")
    ran = at_bench(house, "undo")  # at_bench begins a shift
    assert ran.code == 1 and "nothing to take back in this shift" in ran.err and house.last(SEVEN[0])["job"] == "test"


def test_a_line_that_others_built_on_stays(house: Shop) -> None:
    at_bench(house, "test 7005 p --psi 11", "fill 7006 --spirit malt --litres 190 --abv 63 --temp 12 --anyway --why x")
    by_hand(house, {"date": days_ago(0), "job": "sample", "by": "kd", "ml": 100}, SEVEN[1])
    ran = at_bench(house, "undo", begin=False)
    assert ran.code == 1 and "rests on it: sample on an empty cask" in ran.err and house.last(SEVEN[1])["job"] == "sample"


def test_a_bench_that_only_tries_takes_nothing_back(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    import io

    from caskbook.cli.commands.bench import run as bench

    at_bench(house, "test 7005 p --psi 11")
    monkeypatch.setattr("sys.stdin", io.StringIO("undo\n"))
    ran = house.run(bench, "--dry-run")
    assert ran.code == 1 and house.last(SEVEN[0])["job"] == "test"


@pytest.mark.thorough
@pytest.mark.parametrize("spoil", ["cut", "torn", "foreign", "unmarked", "link"])
def test_a_note_that_cannot_be_read_takes_nothing_back_that_was_not_meant(house: Shop, spoil: str, tmp_path: Path) -> None:
    at_bench(house, "test 7005 p --psi 11", "7006 p")
    place = house.root / ".caskbook" / "shift-runs.jsonl"
    lines = place.read_bytes().split(b"\n")
    if spoil == "cut":
        place.write_bytes(place.read_bytes()[: -len(lines[-2]) // 2])
    elif spoil == "torn":
        place.write_bytes(place.read_bytes() + b'[{"path": "casks/')
        at_bench(house, "test 7007 p --psi 11", begin=False)
    elif spoil == "foreign":
        place.write_bytes(place.read_bytes().replace(b"casks/TH-007/TH-007006.yaml", b"../TH-007/TH-007006.yaml"))
    elif spoil == "unmarked":
        place.write_bytes(b"\n".join([*lines[:-2], b"0" * 64 + lines[-2][64:], b""]))
    else:
        (tmp_path / "elsewhere").write_bytes(place.read_bytes())
        place.unlink()
        place.symlink_to(tmp_path / "elsewhere")
    ran = at_bench(house, "undo", begin=False)
    taken = {"cut": "TH-007005", "torn": "TH-007007", "foreign": "TH-007005", "unmarked": "TH-007005"}.get(spoil)
    assert (f"TAKEN BACK  {taken}" in ran.err) if taken else ("nothing to take back" in ran.err), ran.err


@pytest.mark.thorough
def test_at_a_terminal_it_asks_and_says_whose_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    shop = Shop(tmp_path)
    in_git(shop)
    shop.put(*READY)
    assert shop.enter("note", CASK, "--note", "x", "--by", "kd").code == 0
    assert shop.run(shift, "ab").code == 0
    for said, code in (("", 1), ("y", 0)):
        child = at_terminal(shop, "undo")
        child.expect_exact("note")
        child.expect_exact("that is kd's work, and the shift is ab's")
        child.expect_exact("Take it back all the same? [y/N] ")
        child.sendline(said)
        assert finished(child) == code
    assert shop.last()["job"] == "examine"


@pytest.mark.thorough
def test_at_a_terminal_a_line_of_before_is_asked_about(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("TERM", "dumb")
    shop = Shop(tmp_path)
    shop.put(*READY)
    at_bench(shop, "note 4217 wet")
    for said, job in (("n", "note"), ("y", "examine")):
        child = at_terminal(shop, "bench")
        child.expect_exact("bench> ")
        child.sendline("undo")
        child.expect_exact("note: wet")
        child.expect_exact("Written before this bench began: take it back? [y/N] ")
        child.sendline(said)
        child.expect_exact("bench> ")
        child.sendline("end")
        finished(child)
        assert shop.last()["job"] == job


def test_what_a_bench_keeps_of_its_shift_is_no_stray_file(house: Shop) -> None:
    at_bench(house, "drive 7005", "drive 7006")
    assert (house.root / ".caskbook" / "shift-runs.jsonl").is_file()
    ran = caskbook("check", "--strict", "--records", str(house.root))
    assert "stray-file" not in ran.stdout, ran.stdout


def committed_note(shop: Shop) -> None:
    """The book's last run has landed."""
    assert shop.enter("note", CASK, "--note", "landed", "--by", "ab").code == 0
    for words in (("add", "-A"), ("-c", "user.name=a", "-c", "user.email=a@b", "commit", "-qm", "all")):
        subprocess.run(["git", *words], cwd=shop.root.parent, check=True)


@pytest.mark.thorough
@pytest.mark.parametrize("how", ["empty", "nul", "garbage", "missing", "gone", "elsewhere", "filter"])
def test_what_landed_stays_though_git_cannot_read_its_commit(shop: Shop, how: str) -> None:
    shop.put(*READY)
    in_git(shop)
    git = shop.root.parent / ".git"
    if how == "filter":
        for words in (("config", "filter.rot.clean", "tr a-z b-za"), ("config", "filter.rot.smudge", "tr b-za a-z")):
            subprocess.run(["git", *words], cwd=shop.root.parent, check=True)
        (shop.root.parent / ".gitattributes").write_text("*.yaml filter=rot\n")
    committed_note(shop)
    branch = git / subprocess.run(["git", "symbolic-ref", "HEAD"], cwd=git.parent, check=True, capture_output=True, text=True).stdout.strip()
    commit = branch.read_text().strip()
    broken = {"empty": b"", "nul": b"\0" * 41, "garbage": b"xyz\n", "missing": b"12" * 20 + b"\n"}
    if how in broken:
        branch.write_bytes(broken[how])
    elif how == "gone":
        (git / "objects" / commit[:2] / commit[2:]).unlink()
    elif how == "elsewhere":
        (git / "HEAD").write_text("ref: refs/heads/other\n")
    before = shop.path(CASK).read_text(encoding="utf-8")
    done = caskbook("undo", "--yes", "--by", "ab", "--records", str(shop.root))
    after = shop.path(CASK).read_text(encoding="utf-8")
    assert done.returncode == 0 and after.startswith(before) and "job: void" in after[len(before) :], (done.stdout, done.stderr)
    if how in (*broken, "gone"):
        told = caskbook("review", "--records", str(shop.root))
        assert told.returncode == 2 and "git cannot read the commit that is checked out" in told.stderr
        assert "git-unreadable" in caskbook("check", "--records", str(shop.root)).stdout
