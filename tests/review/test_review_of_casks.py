"""A review limited to some casks: the same judge, nothing read of the others, and what it leaves out is said."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook
from history.graphs import Graph
from history.ledgers import EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, Repo, cask, event, ledger
from hypothesis import given, settings
from hypothesis import strategies as st

from caskbook.git import Git

OTHER = "TH-004218"
MISREAD = event("dt3q62s1", "2015-03-20", "test", "psi: 10", "water_l: 2", "result: pass")


@pytest.fixture
def repo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Repo:
    """A first commit with three casks; tagged `first`."""
    made = ledger(tmp_path, RECEIVED, EXAMINED, TESTED)
    for number in (OTHER, "TH-004219"):
        made.write(cask(RECEIVED, EXAMINED, TESTED, cask_id=number), number)
    made.commit("three")
    made.git("tag", "first")
    monkeypatch.chdir(made.top)
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    monkeypatch.setenv("COLUMNS", "300")
    return made


def said(*words: str, code: int = 0) -> str:
    done = caskbook("review", *words, "--as-of", "2023-06-01")
    assert done.returncode == code, done.stdout + done.stderr
    return done.stdout


def told(*words: str, code: int = 0) -> dict:
    return json.loads(said(*words, "--format", "json", code=code))


def work_on_all(repo: Repo) -> None:
    for number in ("TH-004217", OTHER, "TH-004219"):
        repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED, cask_id=number), number)
    repo.house(HOUSE + "short_fill_days: 3\n")
    repo.commit("filled")


@pytest.mark.thorough
def test_only_the_casks_named_are_told_and_what_is_left_out_is_counted(repo: Repo) -> None:
    work_on_all(repo)
    out = said("first..HEAD", "TH-004217")
    assert out.splitlines()[0] == "first..HEAD · only TH-004217 · 1 commit · 1 cask · nothing landed of these was altered"
    assert OTHER not in out and "TH-004219" not in out and "setting" not in out
    assert "left out 2 other casks changed, not told; house.yaml changed too; what lies beside the casks was not looked at" in out
    found = told("first..HEAD", "TH-004217", "TH-004219")
    assert (found["limited_to"], found["not_told"], found["casks"]) == (["TH-004217", "TH-004219"], {"casks": 1, "house": True}, 2)
    assert found["settings"] == [] and {one["cask"] for day in found["days"] for one in day["casks"]} == {"TH-004217", "TH-004219"}
    assert "only TH-004217" in said("first..HEAD", "TH-004217", "--format", "markdown")
    whole = told("first..HEAD")
    assert whole["limited_to"] is None and whole["not_told"] is None and whole["casks"] == 3 and whole["settings"]


@pytest.mark.thorough
@pytest.mark.parametrize("named", ["TH-004217", OTHER])
def test_a_cask_of_two_numbers_is_told_under_both(repo: Repo, named: str) -> None:
    """What was entered, voided or altered under the other number was done to this cask; a number that no file bears is none of it."""
    same = (
        event("dt3q62s5", "2016-03-20", "same-as", f"of: {OTHER}", "why: two stencils"),
        event("dt3q62s6", "2016-03-20", "same-as", "of: TH-009999", "why: x"),
    )
    repo.write(cask(RECEIVED, EXAMINED, TESTED, *same))
    repo.commit("joined")
    repo.git("tag", "joined")
    void = event("dt3q62s7", "2016-03-21", "void", "of: dt3q62s1", "why: wrong")
    repo.write(cask(RECEIVED, EXAMINED, TESTED, void, cask_id=OTHER), OTHER)
    for words in (("HEAD", named), (named,), ("joined..HEAD", named)):
        if len(words) == 2 and words[0] != "HEAD":
            repo.commit("voided")
        found = told(*words)
        assert sorted(found["limited_to"]) == ["TH-004217", OTHER] and found["not_told"] == {"casks": 0, "house": False}, words
        assert words == ("HEAD", named) or [one["cask"] for one in found["put_right"]] == [OTHER], words
    repo.write(cask(RECEIVED, EXAMINED, MISREAD, void, cask_id=OTHER), OTHER)
    assert [one["cask"] for one in told(named, code=1)["altered"]] == [OTHER] and told("TH-004219")["limited_to"] == ["TH-004219"]


@pytest.mark.thorough
def test_ranges_short_numbers_and_what_they_leave_out(repo: Repo) -> None:
    work_on_all(repo)
    for words in (["TH-004217..004219"], ["4217..4219"], ["4217", "4218", "4219"], ["TH-004217", "..", "004219"]):
        assert told("first..HEAD", *words)["limited_to"] == ["TH-004217", OTHER, "TH-004219"], words
    assert told("first..HEAD", "4217..4219", "except", "4218")["limited_to"] == ["TH-004217", "TH-004219"]
    assert "only TH-004217..004219 · " in said("HEAD", "4217..4219")


@pytest.mark.thorough
def test_without_a_range_it_is_what_is_not_committed_of_them(repo: Repo) -> None:
    repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED))
    repo.write(cask(RECEIVED, EXAMINED, MISREAD, cask_id=OTHER), OTHER)
    repo.write(cask(RECEIVED, cask_id="TH-004300"), "TH-004300")
    out = said("4217")
    assert out.startswith("work tree against the last commit (main) · only TH-004217 · 1 cask · nothing landed of these was altered\n")
    assert "left out 2 other casks changed, not told; what lies" in out
    assert "1 ALTERATION OF WHAT HAD LANDED" in said(OTHER, code=1)
    assert "new      TH-004300" in said("TH-004300")
    repo.git("add", "-A")
    repo.write(cask(RECEIVED, EXAMINED, TESTED, cask_id=OTHER), OTHER)
    assert told(OTHER, code=1)["altered"], "what only the index alters"


@pytest.mark.thorough
def test_every_commit_is_judged_and_of_the_others_nothing(repo: Repo) -> None:
    """Altered, and put back: told of the cask that it is asked about, not of another; so is one that was taken out."""
    repo.write(cask(RECEIVED, EXAMINED, MISREAD))
    repo.commit("altered")
    repo.write(cask(RECEIVED, EXAMINED, TESTED))
    repo.path(OTHER).unlink()
    repo.commit("put back")
    found = told("first..HEAD", "TH-004217", code=1)
    assert [(one["cask"], one["code"]) for one in found["altered"]] == [("TH-004217", "landed-event-altered")] and found["altered"][0]["put_back_by"]
    gone = told("first..HEAD", OTHER, code=1)
    assert {one["code"] for one in gone["altered"]} == {"landed-file-removed"}
    assert told("first..HEAD", "TH-004219")["clean"]
    assert {one["code"] for one in told("first..HEAD", code=1)["altered"]} == {"landed-event-altered", "landed-file-removed"}


@pytest.mark.thorough
def test_a_side_branch_that_rewrote_an_entry_is_told_behind_its_merge(repo: Repo) -> None:
    repo.git("checkout", "-q", "-b", "side")
    repo.write(cask(RECEIVED, EXAMINED, MISREAD))
    repo.commit("rewrote")
    repo.git("checkout", "-q", "main")
    repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED, cask_id=OTHER), OTHER)
    repo.commit("filled")
    repo.git("merge", "-q", "--no-ff", "-m", "joined", "side")
    assert len(told("first..HEAD", "TH-004217", code=1)["altered"]) == 1
    assert told("first..HEAD", OTHER)["clean"]
    apart = told("side..first", OTHER, code=1)
    assert apart["apart"]["commits"] == 1 and apart["apart"]["entries"] == 0, "the history parted, whichever cask is asked about"


@pytest.mark.thorough
def test_a_book_that_was_moved_is_told_with_what_was_altered_of_them(repo: Repo) -> None:
    repo.git("mv", "records", "book")
    (repo.top / "book/casks/TH-004/TH-004217.yaml").write_text(cask(RECEIVED, EXAMINED, MISREAD))
    repo.commit("moved")
    codes = [one["code"] for one in told("first..HEAD", "TH-004217", "--records", "book", code=1)["altered"]]
    assert sorted(codes) == ["landed-event-altered", "landed-file-renamed"]
    assert [one["code"] for one in told("first..HEAD", OTHER, "--records", "book", code=1)["altered"]] == ["landed-file-renamed"]


@pytest.mark.thorough
def test_no_file_of_another_cask_is_read(repo: Repo, monkeypatch: pytest.MonkeyPatch) -> None:
    work_on_all(repo)
    fetched: set[str] = set()
    real = Git.blobs

    def watched(self: Git, oids) -> dict[str, bytes]:
        listed = list(oids)
        fetched.update(listed)
        return real(self, listed)

    monkeypatch.setattr(Git, "blobs", watched)
    said("first..HEAD", "TH-004217")
    others = {repo.git("rev-parse", f"{rev}:records/casks/TH-004/{number}.yaml").strip() for rev in ("first", "HEAD") for number in (OTHER, "TH-004219")}
    assert fetched and not fetched & others


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["first..HEAD", "TH-009999"], "TH-009999: in none of these commits, and not in the book"),
        (["TH-009999"], "TH-009999: in none of these commits, and not in the book"),
        (["first..HEAD", "TH-004217..004230"], "TH-004220, TH-004221, TH-004222, TH-004223, TH-004224, TH-004225 and 5 more: in none"),
        (["first..HEAD", "9999"], "9999"),
        (["first..HEAD", "TH-004217", "4217"], "TH-004217 is named twice"),
        (["first..HEAD", "HEAD"], "HEAD"),
        (["nowhere..HEAD", "TH-004217"], "nowhere"),
        (["", "TH-004217"], "empty range"),
        (["first..HEAD", "4217..4210"], "runs backwards"),
    ],
)
@pytest.mark.thorough
def test_what_is_no_cask_of_the_stretch_is_refused(repo: Repo, words: list[str], told: str) -> None:
    work_on_all(repo)
    done = caskbook("review", *words)
    assert done.returncode == 2 and told in done.stderr and done.stdout == ""


@pytest.mark.thorough
def test_a_revision_with_the_name_of_a_cask_is_not_guessed(repo: Repo) -> None:
    work_on_all(repo)
    repo.git("branch", "bench-2026", "first")
    assert said("bench-2026..HEAD").startswith("bench-2026..HEAD · 1 commit · 3 casks"), "the book has no such cask"
    assert said("bench-2026..HEAD", "4217").startswith("bench-2026..HEAD · only TH-004217 · ")
    repo.git("branch", "TH-004217", "first")
    done = caskbook("review", "TH-004217")
    assert done.returncode == 2 and "is a revision, and a cask of the book" in done.stderr
    assert said("refs/heads/TH-004217..HEAD", "TH-004217").count("only TH-004217") == 1
    assert "only TH-004217" in said("HEAD", "TH-004217")


@pytest.mark.thorough
def test_a_cask_that_came_and_went_within_the_range_can_be_named(repo: Repo) -> None:
    repo.write(cask(RECEIVED, cask_id="TH-004300"), "TH-004300")
    repo.commit("came")
    repo.path("TH-004300").unlink()
    repo.commit("went")
    assert [one["code"] for one in told("first..HEAD", "TH-004300", code=1)["altered"]] == ["landed-file-removed"]


_TEXTS = (
    (RECEIVED,),
    (RECEIVED, EXAMINED),
    (RECEIVED, EXAMINED, TESTED),
    (RECEIVED, EXAMINED, MISREAD),
    (RECEIVED, TESTED, FILLED),
    (RECEIVED, EXAMINED, TESTED, FILLED),
)


@st.composite
def _shapes(draw: st.DrawFn) -> list[tuple[tuple[int, ...], int, int]]:
    """Commits, each with its parents and which text either cask has in it; merges among them."""
    count = draw(st.integers(2, 6))
    parents = [tuple(draw(st.sets(st.integers(0, n - 1), min_size=1, max_size=min(n, 2)))) if n else () for n in range(count)]
    which = st.integers(0, len(_TEXTS) - 1)
    return [(one, draw(which), draw(which)) for one in parents]


@pytest.mark.thorough
@settings(max_examples=15)
@given(shape=_shapes(), data=st.data())
def test_of_one_cask_it_tells_what_the_whole_review_tells_of_it(tmp_path_factory: pytest.TempPathFactory, shape: list, data: st.DataObject) -> None:
    graph = Graph(tmp_path_factory.mktemp("g"))
    for parents, one, other in shape:
        texts = {"TH-004217": _TEXTS[one], OTHER: _TEXTS[other]}
        graph.add({f"records/casks/TH-004/{name}.yaml": cask(*events, cask_id=name) for name, events in texts.items()}, *parents)
    graph.write().git("reset", "-q", "--hard", "main")
    place = st.integers(0, len(shape) - 1)
    span = f"c{data.draw(place)}{data.draw(st.sampled_from(['..', '...']))}c{data.draw(place)}"

    def told(*words: str) -> dict:
        return json.loads(caskbook("review", span, *words, "--format", "json", "--as-of", "2023-06-01", cwd=graph.top).stdout or "{}")

    whole = told()
    for number in ("TH-004217", OTHER):
        mine = told(number)
        assert mine.keys() == whole.keys()
        if whole:
            assert _of(mine, number) == _of(whole, number) and (mine["apart"] is None) == (whole["apart"] is None)


def _of(found: dict, number: str) -> dict:
    """What a review tells of one cask, as far as it names it."""
    named = {
        key: [one for one in found[key] if one["cask"] == number] for key in ("altered", "late", "put_right", "heads", "newly_due", "no_longer_due", "against")
    }
    days = [(day["day"], one) for day in found["days"] for one in day["casks"] if one["cask"] == number]
    return {**named, "days": days, "joined": [one for one in found["joined"] if one == number], "clashes": [one for one in found["clashes"] if number in one]}
