"""The review in words: days, groups, late entries, what was put right, heads, settings, what became due; and history altered."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from history.ledgers import EMPTIED, EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, Repo, cask, event, ledger
from laws import crossed

from caskbook.checks.history import append_only_since
from caskbook.cli.commands.review import run
from caskbook.core.finding import CaskbookError, Finding
from caskbook.model.ids import mint_id
from caskbook.review.days import ranges

pytestmark = pytest.mark.thorough

BASE = cask(RECEIVED, EXAMINED, TESTED)
LONG = (RECEIVED, EXAMINED, TESTED, FILLED, EMPTIED)
_AT = datetime(2023, 5, 20, 12, tzinfo=UTC)


def minted(day: str, n: int, when: datetime = _AT) -> str:
    return mint_id(when, day_ids=[], random_bits=lambda bits: n)


def add(day: str, n: int, job: str, *lines: str, when: datetime = _AT) -> str:
    return event(minted(day, n, when), day, job, *lines)


@pytest.fixture
def repo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Repo:
    made = ledger(tmp_path, *LONG)
    monkeypatch.chdir(made.top)
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    monkeypatch.setenv("COLUMNS", "80")
    return made


def said(capsys: pytest.CaptureFixture[str], range_text: str | None = None, form: str = "text", code: int = 0, day: str = "2023-06-01") -> str:
    assert run(range_text, None, day, form) == code
    return capsys.readouterr().out


def test_a_bench_day_reads_as_the_trade_would_tell_it(repo: Repo, capsys: pytest.CaptureFixture[str]):
    bench = [
        add("2023-05-20", 1, "open", "heads: [A, B]"),
        add("2023-05-20", 2, "stave", "staves: [1, 14]", "action: replace", "from: TH-001187", "why: cracked"),
        add("2023-05-20", 3, "char", "level: 3"),
        add("2023-05-20", 4, "close", "heads: [A, B]"),
        add("2023-05-20", 5, "test", "psi: 11", "result: pass"),
    ]
    repo.write(cask(*LONG, *bench))
    out = said(capsys)
    assert "work tree against the last commit (main) · 1 cask · nothing landed was altered" in out
    line = "  TH-004217 barrel: head A and B out; staves 1 and 14 replaced from TH-001187; charred level 3, its first re-char after 2 fills; head A and B in; passed at 11 psi\n"
    assert f"\n2023-05-20\n{line}" in out


def test_many_casks_with_one_job_are_told_in_one_sentence(repo: Repo, capsys: pytest.CaptureFixture[str]):
    for n in range(10):
        number = f"TH-0051{n:02d}"
        repo.write(cask(RECEIVED, EXAMINED, cask_id=number), number)
    repo.commit()
    for n in range(10):
        number = f"TH-0051{n:02d}"
        outcome = {0: ["result: fail", "leaks: [{at: joint-1}]"], 1: ["result: pass", "leaks: [{at: croze-A}]", "cured_by: drive"]}.get(n, ["result: pass"])
        repo.write(cask(RECEIVED, EXAMINED, add("2023-05-20", n, "test", "psi: 11", *outcome), cask_id=number), number)
    repo.commit("tested")
    out = said(capsys, "HEAD")
    assert "10 casks tested: 8 tight, 1 leaked and was cured by driving, 1 failed (TH-005100)" in out
    data = json.loads(said(capsys, "HEAD", "json"))
    assert data["commits"] == 1 and data["casks"] == 10 and len(data["days"][0]["groups"][0]["casks"]) == 10


def test_casks_that_leave_the_stock_are_named(repo: Repo, capsys: pytest.CaptureFixture[str]):
    """Those of one fate in one sentence, the others one by one, each with what it was joined to or how it left."""
    names = [f"TH-0052{n:02d}" for n in range(16)]
    for name in names:
        repo.write(cask(RECEIVED, cask_id=name), name)
    repo.commit()
    joins = [add("2023-05-20", n, "same-as", f"of: {names[n + 4]}", "why: two numbers") for n in range(4)]
    sold = [add("2023-05-20", n, "dispose", "how: sold") for n in range(8, 13)]
    others = [add("2023-05-20", 13, "dispose", "how: scrapped"), add("2023-05-20", 14, "dispose", "how: stolen")]
    for name, line in zip([*names[:4], *names[8:15]], [*joins, *sold, *others], strict=True):
        repo.write(cask(RECEIVED, line, cask_id=name), name)
    out = said(capsys)
    assert [line for line in out.split("\n2023-05-20\n")[1].split("\n") if line.startswith("  ")] == [
        "  5 casks out of the book: sold (TH-005208..005212)",
        *(f"  {names[n]} barrel: same cask as {names[n + 4]}: two numbers" for n in range(4)),
        "  TH-005213 barrel: left the book: scrapped",
        "  TH-005214 barrel: left the book: stolen",
    ]


def test_late_entries_voids_replacements_and_moves_each_have_their_line(repo: Repo, capsys: pytest.CaptureFixture[str]):
    late = add("2023-05-18", 1, "nose", "verdict: clean", when=datetime(2023, 6, 9, tzinfo=UTC))
    void = add("2023-05-20", 2, "void", "of: dt3q62s1", "why: wrong cask")
    again = add("2023-05-20", 3, "empty", "litres: 151.0", "abv: 58.0", "temp_c: 14.5", "replaces: gq6g0001", "why: misread")
    moved = add("2023-05-20", 4, "moved", "of: dsy3jpj0", "to: TH-004300", "why: misread number")
    repo.write(cask(*LONG, late, void, again, moved))
    out = said(capsys)
    assert "late     TH-004217 nosing of 2023-05-18, entered 22 days after: nosed clean (ab)" in out
    assert 'voided   TH-004217 test of 2015-03-20: "wrong cask"' in out
    assert 'replaced TH-004217 emptying of 2023-05-16 (150.0 L at 58.0 %) by emptying of 2023-05-20 (151.0 L at 58.0 %): "misread"' in out
    assert 'moved    TH-004217 examination of 2015-03-12: "misread number", entered again on TH-004300' in out
    assert "\n2023-05-" not in out, "late and correcting entries are told once"


def test_who_voids_what_another_one_moved_has_entered_nothing_again(repo: Repo, capsys: pytest.CaptureFixture[str]):
    moved = add("2023-05-20", 4, "moved", "of: dsy3jpj0", "to: TH-004300", "why: misread number")
    void = add("2023-05-20", 5, "void", "of: dsy3jpj0", "why: never done")
    repo.write(cask(*LONG, moved, void))
    repo.write(cask(RECEIVED, add("2015-03-12", 6, "examine", "verdict: sound", "moved_from: TH-004217/dsy3jpj0"), cask_id="TH-004300"), "TH-004300")
    out = " ".join(said(capsys).split())
    assert '"misread number", entered again on TH-004300 (' in out and '"never done" (' in out and out.count("entered again") == 1, out


def test_a_void_tells_its_note_and_its_photographs(repo: Repo, capsys: pytest.CaptureFixture[str]):
    repo.write(cask(*LONG, add("2023-05-20", 2, "void", "of: dt3q62s1", "why: wrong cask", "note: seen by two", "photo: [IMG_1.jpg]")))
    assert 'voided   TH-004217 test of 2015-03-20: "wrong cask, photo IMG_1.jpg – seen by two"' in said(capsys)


def test_why_a_hold_was_put_right_is_not_what_it_was_for(repo: Repo, capsys: pytest.CaptureFixture[str]):
    held = add("2023-05-18", 1, "hold", "why: worm in the head", "note: left of the mark")
    again = add("2023-05-20", 2, "hold", "replaces: gq6g0001", "why: worm in the head", "note: left of the mark; wrong day")
    ids = [line for line in held.splitlines() if "id:" in line]
    repo.write(cask(*LONG, held, again.replace("gq6g0001", ids[0].split("id: ")[1].strip(" ,}"))))
    assert '(worm in the head) by hold of 2023-05-20 (worm in the head): "wrong day"' in said(capsys)


@pytest.mark.parametrize(("verdict", "again"), [("sound", ", entered again on TH-004300"), ("reject", "")])
def test_a_moved_entry_is_entered_again_only_where_its_copy_says_the_same(repo: Repo, capsys: pytest.CaptureFixture[str], verdict: str, again: str):
    moved = add("2023-05-20", 4, "moved", "of: dsy3jpj0", "to: TH-004300", "why: misread number")
    copy = add("2015-03-12", 5, "examine", f"verdict: {verdict}", "moved_from: TH-004217/dsy3jpj0")
    repo.write(cask(*LONG, moved))
    repo.write(cask(RECEIVED, copy, cask_id="TH-004300"), "TH-004300")
    out = said(capsys)
    assert f'moved    TH-004217 examination of 2015-03-12: "misread number"{again}' in out and ("entered again" in out) == bool(again)


def test_new_casks_heads_and_layout(repo: Repo, capsys: pytest.CaptureFixture[str]):
    for n in range(5):
        repo.write(cask(RECEIVED, cask_id=f"TH-00600{n}").replace("hoops: 6", "hoops: 6\nsupplier: northquay"), f"TH-00600{n}")
    repo.write(cask(*LONG).replace("charred: 2011", "charred: 2011\nwood: sessile-oak").replace("staves: 31", "staves: 31  # counted"))
    out = said(capsys)
    assert "nothing landed was altered" in out.splitlines()[0], "saying what was unknown takes nothing away"
    assert "new      TH-006000..006004: 5 barrels, from northquay" in out
    assert 'head     TH-004217 added to the head: `wood` "sessile-oak", unknown before' in out
    assert "layout   TH-004217 only a comment of `staves` changed; the data is the same" in out


def test_a_head_value_that_changed_is_an_alteration_of_what_landed(repo: Repo, capsys: pytest.CaptureFixture[str]):
    repo.write(cask(*LONG).replace("charred: 2011", "charred: 2012\nwood: sessile-oak"))
    out = said(capsys, code=1)
    assert "1 ALTERATION OF WHAT HAD LANDED" in out.splitlines()[0] and "nothing landed" not in out
    assert out.splitlines()[2:4] == [
        "ALTERED, MOVED OR REMOVED",
        "  TH-004217 `charred` was 2011 when it landed, is 2012 (records/casks/TH-004/TH-004217.yaml:10)",
    ]
    assert "head     TH-004217 added to the head: `wood`" in out and out.count("charred") == 1, "a changed key is told once, above"
    data = json.loads(said(capsys, form="json", code=1))
    assert not data["clean"] and data["altered"][0]["code"] == "landed-head-changed"
    assert {head["key"] for head in data["heads"]} == {"charred", "wood"}


def test_the_same_of_many_casks_is_one_line(repo: Repo, capsys: pytest.CaptureFixture[str]):
    names = [f"TH-00600{n}" for n in range(5)]
    for name in names:
        repo.write(cask(RECEIVED, cask_id=name), name)
    repo.commit()
    for name in names:
        late = add("2023-05-01", 1, "note", "note: seen")
        repo.write(cask(RECEIVED, late, cask_id=name), name)
    assert "late     5 casks note of 2023-05-01, entered 19 days after: note: seen (ab) (TH-006000..006004)\n" in said(capsys)


def test_what_became_due_and_what_no_longer(repo: Repo, capsys: pytest.CaptureFixture[str]):
    repo.write(cask(*LONG, add("2023-05-20", 1, "examine", "verdict: sound")))
    out = said(capsys)
    assert "then due 1 no longer (TH-004217 examine)" in out


def test_a_zone_or_pattern_that_is_none_is_told_as_check_tells_it(repo: Repo, capsys: pytest.CaptureFixture[str]):
    repo.house(HOUSE + "id_pattern: 'TH-[0-9'\n")
    out = said(capsys)
    assert "house" in out and 'error unreadable-id-pattern: `id_pattern` is "TH-[0-9": no pattern' in out
    assert [one["code"] for one in json.loads(said(capsys, form="json"))["house"]] == ["unreadable-id-pattern"]


def test_losses_are_said_not_to_be_judged_where_gauges_or_their_settings_changed(repo: Repo, capsys: pytest.CaptureFixture[str]):
    """What a fill lost is held against every fill of the book, and a review reads those that changed."""
    repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED))
    repo.commit()
    repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED, add("2023-05-20", 1, "note", "note: seen")))
    assert "losses" not in said(capsys) and json.loads(said(capsys, form="json"))["losses_not_judged"] == []
    repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED, add("2023-05-20", 1, "regauge", "litres: 90", "abv: 62", "temp_c: 15", "method: meter")))
    assert "losses   other figures of TH-004217; whether too much is gone is not judged here: caskbook due loss retire" in said(capsys)
    assert json.loads(said(capsys, form="json"))["losses_not_judged"] == ["TH-004217"]
    repo.commit()
    for text in ("loss_table: {barrel: 2.0}", "types: {barrel: {due: {loss: {fewest_peers: 5}}}}", "due: {loss: {fewest_peers: 5}}"):
        repo.house(f"{HOUSE}{text}\n")
        assert "what it makes of losses is not judged here: caskbook due loss retire" in said(capsys)
        assert all(one["losses_not_judged"] for one in json.loads(said(capsys, form="json"))["settings"])
    repo.house(f"{HOUSE}due: {{rechar: {{due_at: 2}}}}\n")
    assert "losses" not in said(capsys)


def test_a_setting_says_what_it_does(repo: Repo, capsys: pytest.CaptureFixture[str]):
    repo.house(
        HOUSE.replace("  - {initials: kd, name: K D, from: 2010-01-01}\n", "  - {initials: mm, name: M M}\n") + "due:\n  rechar: {soon_at: 1, due_at: 2}\n"
    )
    repo.write(cask(*LONG, add("2023-05-18", 1, "examine", "verdict: sound"), add("2023-05-18", 2, "test", "psi: 11", "result: pass")))
    repo.commit()
    data = json.loads(said(capsys, "HEAD", "json", code=1))
    assert [one["code"] for one in data["altered"]] == ["landed-setting-changed"], "one of the crew was dropped"
    settings = {one["key"]: one for one in data["settings"]}
    assert settings["crew.kd"]["new"] == "unset" and settings["crew.mm"]["old"] == "unset"
    assert settings["due"]["newly_due"] == 1
    repo.house(HOUSE + "due:\n  rechar: {soon_at: 1, due_at: 3}\n")
    repo.commit()
    out = said(capsys, "HEAD~1..HEAD", code=1)
    assert "setting  crew.kd unset → {initials: kd" in out and "due.rechar.due_at 2 → 3: 1 cask no longer due" in out


SABOTAGE = {
    "one digit": (lambda text: text.replace("psi: 11", "psi: 12"), "landed-event-altered", "`psi` was 11 when it landed, is 12"),
    "deleted": (lambda text: text.replace(EXAMINED, ""), "landed-event-removed", "examine of 2015-03-12 (dsy3jpj0) is gone"),
    "swapped": (lambda text: text.replace(EXAMINED, "").replace(RECEIVED, EXAMINED + RECEIVED), "landed-events-reordered", "stands"),
    "id changed": (lambda text: text.replace("dsy3jpj0", "dsy3jpj1"), "landed-event-removed", "dsy3jpj1 has the same data"),
    "reason edited": (lambda text: text.replace("wrong cask", "wrong date"), "landed-event-altered", '`why` was "wrong cask" when it landed, is "wrong date"'),
}


@crossed("where,what", ["work tree", "index", "commit"], sorted(SABOTAGE))
def test_sabotage_is_named_first_with_both_versions(repo: Repo, capsys: pytest.CaptureFixture[str], what: str, where: str):
    repo.write(cask(*LONG, add("2023-05-20", 2, "void", "of: dt3q62s1", "why: wrong cask")))
    landed = repo.commit()
    change, code, words = SABOTAGE[what]
    text = repo.path().read_text()
    repo.write(change(text))
    assert change(text) != text
    if where == "index":
        repo.git("add", "-A")
        repo.write(text)
    if where == "commit":
        repo.commit()
    span = "HEAD" if where == "commit" else None
    out = said(capsys, span, code=1)
    assert "1 ALTERATION OF WHAT HAD LANDED" in out.splitlines()[0] and out.splitlines()[2] == "ALTERED, MOVED OR REMOVED"
    assert words in out and "landed  {" in out
    (found,) = append_only_since(repo.ledger, landed)
    assert found.code == code and found.severity == "error" and words in found.message
    data = json.loads(said(capsys, span, "json", code=1))
    assert data["altered"][0]["code"] == code and data["altered"][0]["old"]["id"]
    assert said(capsys, span, "markdown", code=1).startswith("**") and code


def test_files_deleted_and_renamed(repo: Repo, capsys: pytest.CaptureFixture[str]):
    repo.git("mv", str(repo.path()), str(repo.path("TH-004218")))
    assert "this was TH-004217 when it landed" in said(capsys, code=1)
    repo.path("TH-004218").unlink()
    assert "TH-004217 is gone, with 5 events" in said(capsys, code=1)
    assert {f.code for f in append_only_since(repo.ledger, "HEAD")} >= {"landed-file-removed"}


@pytest.mark.parametrize("change", [("psi: 11", "psi:   11"), ("psi: 11", "psi: 11  # old gauge"), ("  - id: dt3q62s1", "  # wet\n  - id: dt3q62s1")])
def test_whitespace_and_comments_are_a_note_and_no_error(repo: Repo, capsys: pytest.CaptureFixture[str], change: tuple[str, str]):
    repo.write(repo.path().read_text().replace(*change))
    assert "layout   TH-004217 only" in said(capsys)
    assert [f.severity for f in append_only_since(repo.ledger, "HEAD")] == ["note"]


def test_ranges_commits_tags_and_odd_heads(repo: Repo, capsys: pytest.CaptureFixture[str]):
    first = repo.git("rev-parse", "HEAD").strip()
    assert "new      TH-004217: barrel" in said(capsys, first), "the first commit against an empty book"
    repo.git("checkout", "-q", "-b", "bench")
    repo.write(cask(*LONG, add("2023-05-20", 1, "note", "note: '*bold* <b>'")))
    repo.commit()
    repo.git("tag", "v2")
    repo.git("checkout", "-q", "main")
    (repo.top / "readme").write_text("x")
    repo.commit()
    apart = said(capsys, "main..bench", code=1)
    assert apart.startswith("main is no ancestor of bench: history was rewritten, or the branches parted; 1 commit of main is not in bench\n")
    assert f"caskbook review {first[:10]}..bench" in apart and "nothing landed was altered" not in apart
    out = said(capsys, "main...bench")
    assert out.startswith("main...bench · 1 commit · 1 cask · nothing landed was altered") and "note: *bold* <b>" in out
    assert r"note: \*bold\* \<b\>" in said(capsys, "main...bench", "markdown")
    assert "1 cask" in said(capsys, "v2")
    repo.git("checkout", "-q", "--detach")
    assert "detached at" in said(capsys)
    for wrong in ("main...no-such", "no-such", "main..no-such"):
        with pytest.raises(CaskbookError):
            run(wrong)


def test_in_a_repository_without_commits_everything_is_new(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    repo = Repo(tmp_path / "fresh")
    repo.house()
    repo.write(BASE)
    monkeypatch.chdir(repo.top)
    assert "nothing committed yet" in said(capsys)


def test_lines_are_folded_at_eighty_columns_and_nothing_steers_the_terminal(repo: Repo):
    from caskbook.cli.commands.review import _review
    from caskbook.cli.common import open_book
    from caskbook.git import open_git
    from caskbook.render.console import Output
    from caskbook.render.review import review_text
    from caskbook.review import stretch

    def shown() -> str:
        return review_text(_review(git, repo.ledger, stretch(git, None), open_book(None)), Output(80))

    git = open_git(repo.ledger)
    repo.write(cask(*LONG, *(add("2023-05-20", n, "note", f"note: 'a long story {n} that goes on and on'") for n in range(6))))
    text = shown()
    assert max(map(len, text.split("\n"))) <= 80 and "\n            " in text
    repo.write(cask(*LONG, add("2023-05-20", 1, "note", f"note: 'wrong {chr(0x202E)} way'")))
    assert chr(0x202E) not in shown()


def test_ranges_of_numbers():
    assert ranges(["TH-000003", "TH-000001", "TH-000002", "TH-000009", "TX-000010"]) == ["TH-000001..000003", "TH-000009", "TX-000010"]


def test_without_git_every_command_of_history_says_so_in_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    from caskbook.cli.commands.settle import run as settle

    repo = Repo(tmp_path / "r")
    repo.house()
    alone = tmp_path / "alone"
    repo.ledger.rename(alone)
    monkeypatch.chdir(alone)
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    for call in (lambda: run(None), settle, lambda: append_only_since(alone, "HEAD")):
        with pytest.raises(CaskbookError, match="in no git repository") as caught:
            call()
        assert "\n" not in str(caught.value)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(CaskbookError, match="git is not installed"):
        run(None)


def test_a_shallow_clone_reviews_what_it_has_and_says_what_it_lacks(
    repo: Repo, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    first = repo.git("rev-parse", "HEAD").strip()
    repo.write(cask(*LONG, add("2023-05-20", 1, "note", "note: seen")))
    repo.commit()
    repo.git("clone", "-q", "--depth", "1", f"file://{repo.top}", str(tmp_path / "shallow"))
    monkeypatch.chdir(tmp_path / "shallow")
    assert "0 casks" in said(capsys)
    for wrong in ("HEAD", f"{first}..HEAD"):
        with pytest.raises(CaskbookError, match="shallow clone"):
            run(wrong)


def test_in_the_middle_of_a_merge_the_unmerged_file_is_named_as_it_is(repo: Repo, capsys: pytest.CaptureFixture[str]):
    repo.git("checkout", "-q", "-b", "side")
    repo.write(cask(*LONG, add("2023-05-20", 1, "note", "note: theirs")))
    repo.commit()
    repo.git("checkout", "-q", "main")
    repo.write(cask(*LONG, add("2023-05-20", 2, "note", "note: ours")))
    repo.commit()
    repo.git("merge", "--no-edit", "side", good=(1,))
    out = said(capsys, code=1)
    assert "cannot be compared with what landed: line" in out and "merge conflict" in out and "is gone" not in out.partition("losses ")[0]


SECOND = ("fill", "spirit: malt", "litres: 190.0", "abv: 63.5", "temp_c: 14.5")


def two_benches(repo: Repo, one: str, other: str, merged: str | None) -> str:
    """Both benches enter on the same cask, and a merge brings it together; the merge's name."""
    repo.write(cask(*LONG))
    repo.git("checkout", "-q", "-b", "bench")
    repo.write(cask(*LONG, one))
    repo.commit("bench")
    repo.git("checkout", "-q", "main")
    repo.write(cask(*LONG, other))
    repo.commit("yard")
    repo.git("merge", "-q", "--no-commit", "-s", "ours", "bench")
    repo.write(merged if merged is not None else cask(*LONG, one, other))
    return repo.commit("both")


def test_what_only_a_merge_brought_together_is_named(repo: Repo, capsys: pytest.CaptureFixture[str]):
    start = repo.git("rev-parse", "HEAD").strip()
    two_benches(repo, add("2023-05-18", 1, *SECOND), add("2023-05-19", 2, *SECOND), None)
    for span in ("HEAD", f"{start}..HEAD"):
        out = said(capsys, span)
        assert "joined   TH-004217: both sides had entered on it" in out
        assert "clash    TH-004217: fill of 2023-05-19 (" in out and "filled again" in out
        data = json.loads(said(capsys, span, "json"))
        assert data["joined"] == ["TH-004217"] and len(data["clashes"]) == 1 and "filled again" in data["clashes"][0]
    assert "clash" not in said(capsys, "HEAD^1") and "joined" not in said(capsys, "HEAD^2")


def test_a_head_that_both_sides_of_a_merge_corrected_each_in_its_own_way_is_a_clash(repo: Repo, capsys: pytest.CaptureFixture[str]):
    start = repo.git("rev-parse", "HEAD").strip()
    one, other = (add("2023-05-18", n, "correct", f"maker: {maker}", "why: read again") for n, maker in ((1, "Fenwick"), (2, "Hollow")))
    two_benches(repo, one, other, None)
    for span in ("HEAD", f"{start}..HEAD"):
        assert "clash    TH-004217: maker is corrected to Fenwick (" in said(capsys, span), span
        assert len(json.loads(said(capsys, span, "json"))["clashes"]) == 1
    repo.write(cask(*LONG, one, other, add("2023-05-20", 3, "void", f"of: {one.split('id: ')[1].split()[0]}", "why: misread")))
    repo.commit("decided")
    assert "clash" not in said(capsys, f"{start}..HEAD"), "the void settled it"


def test_a_merge_of_what_goes_together_names_the_casks_and_no_clash(repo: Repo, capsys: pytest.CaptureFixture[str]):
    two_benches(repo, add("2023-05-18", 1, "note", "note: one"), add("2023-05-19", 2, "note", "note: two"), None)
    out = said(capsys, "HEAD")
    assert "joined   TH-004217: both sides had entered on it" in out and "clash" not in out


def test_a_merge_that_loses_an_entry_of_either_side_altered_what_landed(repo: Repo, capsys: pytest.CaptureFixture[str]):
    one, other = add("2023-05-18", 1, "note", "note: one"), add("2023-05-19", 2, "note", "note: two")
    two_benches(repo, one, other, cask(*LONG, other))
    out = said(capsys, "HEAD", code=1)
    assert "1 ALTERATION OF WHAT HAD LANDED" in out and "note of 2023-05-18" in out


def test_what_was_due_before_of_a_cask_with_two_numbers_is_not_newly_due(repo: Repo, capsys: pytest.CaptureFixture[str]):
    """The state before is folded over the joined files as well."""
    other = cask(RECEIVED, EXAMINED, TESTED, FILLED, event("gq6g0001", "2023-05-16", "leak", "at: joint-3", "severity: drip"), cask_id="TH-004218")
    joins = (RECEIVED, add("2023-05-17", 1, "same-as", "of: TH-004218", "why: two stencils"))
    repo.write(cask(*joins))
    repo.write(other, "TH-004218")
    repo.commit("joined")
    repo.write(cask(*joins, add("2023-05-20", 2, "note", "note: dusty")))
    data = json.loads(said(capsys, form="json"))
    assert not data["newly_due"] and not data["no_longer_due"], data
    repo.write(cask(*joins, add("2023-05-20", 3, "look", "of: gq6g0001", "seen: dry")))
    gone = json.loads(said(capsys, form="json"))["no_longer_due"]
    assert [(one["cask"], one["rule"]) for one in gone] == [("TH-004217", "look")]


def turns(capsys: pytest.CaptureFixture[str], range_text: str | None = None) -> dict[str, list[tuple[str, str]]]:
    """What is newly due and what no longer, as (cask, rule)."""
    data = json.loads(said(capsys, range_text, "json"))
    return {key: [(one["cask"], one["rule"]) for one in data[key]] for key in ("newly_due", "no_longer_due")}


def test_a_setting_is_counted_on_the_casks_as_they_were_and_the_entries_under_it(repo: Repo, capsys: pytest.CaptureFixture[str]):
    """Both in one commit: what was due before, turned by the setting and then by the entries, is what is due after."""
    leaking = (RECEIVED, EXAMINED, TESTED, FILLED, event("gq6g0001", "2023-05-16", "leak", "at: joint-3", "severity: drip"))
    dry = add("2023-05-20", 1, "look", "of: gq6g0001", "seen: dry")
    repo.house(HOUSE + "due: {look: {off: true}}\n")
    repo.write(cask(*leaking))
    repo.commit("one leaks, and nobody looks")
    repo.house(HOUSE + "due: {look: {off: false}}\n")
    repo.write(cask(*leaking, dry))
    data = json.loads(said(capsys, form="json"))
    (setting,) = data["settings"]
    assert (setting["key"], setting["newly_due"], setting["no_longer"]) == ("due.look.off", 1, 0)
    assert not data["newly_due"] and [(one["cask"], one["rule"]) for one in data["no_longer_due"]] == [("TH-004217", "look")]


LEAKING = event("gq6g0001", "2023-05-16", "leak", "at: joint-3", "severity: drip")
SAME = add("2023-05-17", 1, "same-as", "of: TH-004218", "why: two stencils")
LOOK = ("TH-004218", "look")


@pytest.mark.parametrize("index", ["on", "off"])
def test_a_join_and_its_end_turn_what_is_due_of_the_other_number(repo: Repo, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, index: str):
    """The file of the other number does not change; its dues go over to the one that goes on, and come back."""
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    void = add("2023-05-19", 3, "void", f"of: {minted('2023-05-17', 1)}", "why: two casks after all")
    repo.write(cask(RECEIVED))
    repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED, LEAKING, cask_id="TH-004218"), "TH-004218")
    repo.commit("two")
    repo.write(cask(RECEIVED, SAME))
    joined = turns(capsys)
    assert ("TH-004217", "look") in joined["newly_due"] and LOOK in joined["no_longer_due"], joined
    repo.commit("joined")
    repo.write(cask(RECEIVED, SAME, void))
    parted = turns(capsys)
    assert parted == {"newly_due": joined["no_longer_due"], "no_longer_due": joined["newly_due"]}
    repo.commit("parted")
    assert turns(capsys, "HEAD~1..HEAD") == parted and turns(capsys, "HEAD~2..HEAD~1") == joined


def test_a_second_claim_turns_what_is_due_of_all_who_claim(repo: Repo, capsys: pytest.CaptureFixture[str]):
    """A number that two files claim goes into neither: it is due under its own again, by an entry in a third file."""
    repo.write(cask(RECEIVED, SAME))
    repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED, LEAKING, cask_id="TH-004218"), "TH-004218")
    repo.write(cask(RECEIVED, cask_id="TH-004219"), "TH-004219")
    repo.commit("joined")
    repo.write(cask(RECEIVED, SAME, cask_id="TH-004219"), "TH-004219")
    found = turns(capsys)
    assert LOOK in found["newly_due"] and ("TH-004217", "look") in found["no_longer_due"], found


@pytest.mark.parametrize("committed", [False, True])
def test_an_entry_on_the_number_that_was_taken_over_counts_where_the_cask_goes_on(repo: Repo, capsys: pytest.CaptureFixture[str], committed: bool):
    other = cask(RECEIVED, EXAMINED, TESTED, FILLED, cask_id="TH-004218")
    repo.write(cask(RECEIVED, SAME))
    repo.write(other, "TH-004218")
    repo.commit("joined")
    repo.write(other + LEAKING, "TH-004218")
    if committed:
        repo.commit("leaking")
    assert turns(capsys, "HEAD~1..HEAD" if committed else None) == {"newly_due": [("TH-004217", "look")], "no_longer_due": []}


def test_a_char_is_told_by_what_is_known_now_of_that_day(repo: Repo, capsys: pytest.CaptureFixture[str]):
    """A char that was voided later is none, though the void stands below in the file."""
    wrong = event("gq6h0001", "2023-05-17", "char", "level: 3")
    opened = event("gq6g0002", "2023-05-16", "open", "heads: [A, B]")
    void = add("2023-05-25", 1, "void", "of: gq6h0001", "why: another cask")
    repo.write(cask(*LONG, opened, wrong, void))
    repo.commit("voided")
    repo.write(cask(*LONG, opened, wrong, add("2023-05-20", 2, "char", "level: 3"), void))
    assert "charred level 3, its first re-char after 2 fills" in " ".join(said(capsys).split())


def joined(repo: Repo, *own: str, other: tuple[str, ...] = LONG) -> None:
    """TH-004217 goes on for TH-004218."""
    repo.write(cask(RECEIVED, add("2023-05-17", 1, "same-as", "of: TH-004218", "why: two stencils"), *own))
    repo.write(cask(*other, cask_id="TH-004218"), "TH-004218")


def test_a_char_counts_the_fills_under_both_numbers(repo: Repo, capsys: pytest.CaptureFixture[str]):
    joined(repo)
    repo.commit("joined")
    joined(repo, event("gq6g0002", "2023-05-18", "open", "heads: [A, B]"), add("2023-05-20", 2, "char", "level: 3"))
    assert "charred level 3, its first re-char after 2 fills" in " ".join(said(capsys).split())


def test_a_setting_is_counted_over_both_numbers_and_once(repo: Repo, capsys: pytest.CaptureFixture[str]):
    again = [
        add("2023-05-18", 2, "fill", "spirit: malt", "litres: 190.0", "abv: 63.5", "temp_c: 14.5"),
        add("2023-05-20", 3, "empty", "litres: 188.0", "abv: 63.0", "temp_c: 14.5"),
    ]
    joined(repo, *again)
    repo.house(HOUSE + "due:\n  rechar: {soon_at: 2, due_at: 5}\n")
    repo.commit("joined")
    counts = []
    for due_at in (3, 2):
        repo.house(HOUSE + f"due:\n  rechar: {{soon_at: 2, due_at: {due_at}}}\n")
        counts.append(next(one["newly_due"] for one in json.loads(said(capsys, form="json"))["settings"] if one["key"] == "due.rechar.due_at"))
    assert counts == [1, 1]


def test_what_is_due_of_a_joined_number_is_told_of_the_one_that_goes_on(repo: Repo, capsys: pytest.CaptureFixture[str]):
    repo.write(cask(RECEIVED))
    repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED, cask_id="TH-004218"), "TH-004218")
    repo.commit("apart")
    joined(repo, other=(RECEIVED, EXAMINED, TESTED, FILLED, event("gq6g0001", "2023-05-16", "leak", "at: joint-3", "severity: drip")))
    assert [one["cask"] for one in json.loads(said(capsys, form="json"))["newly_due"] if one["rule"] == "look"] == ["TH-004217"]


def test_of_two_entries_against_the_rules_the_reason_stands_with_either(repo: Repo, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch):
    """A finding about both; the one that was entered last was asked for a reason, and it is not the one that is named first."""
    from caskbook.review import against

    early, late = add("2023-05-20", 1, "flag", "at: joint-1"), add("2023-05-18", 2, "note", "note: told to")
    both = tuple(minted(day, n) for day, n in (("2023-05-20", 1), ("2023-05-18", 2)))
    repo.write(cask(*LONG, late, early))
    found = Finding("worn-words", "warning", "these two do not go together", "TH-004217.yaml", related=both)
    monkeypatch.setattr(against, "before_the_house", lambda ledger, record, context: [found])
    (told,) = json.loads(said(capsys, form="json"))["against"]
    assert (told["event"], told["why"]) == (both[0], "told to")


def test_a_finding_of_a_landed_entry_is_told_of_that_and_says_what_came_in_before_it(
    repo: Repo, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    """It reads as said of the entry whose figure it names, not of the one that was entered late."""
    from caskbook.review import against

    landed, late = add("2023-05-20", 1, "note", "note: reads 22"), add("2023-05-18", 2, "note", "note: reads 13")
    both = tuple(minted(day, n) for day, n in (("2023-05-20", 1), ("2023-05-18", 2)))
    repo.write(cask(*LONG, landed))
    repo.commit("landed")
    repo.write(cask(*LONG, late, landed))
    found = Finding("worn-words", "warning", "reads 22, before that 13", "TH-004217.yaml", related=both)
    monkeypatch.setattr(against, "before_the_house", lambda ledger, record, context: [found])
    (told,) = json.loads(said(capsys, form="json"))["against"]
    assert told["event"] == both[1] and told["text"] == "note of 2023-05-20, now that the note of 2023-05-18 is in"
