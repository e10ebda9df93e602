"""The law held commit by commit: what was altered and put back, swallowed, pushed by force, moved, made a program; and who did it."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caskbook.checks.history import append_only_since
from caskbook.git import Git
from history.graphs import ATTRIBUTES, BESIDE, Graph, chain, told
from history.ledgers import EXAMINED, HOUSE, RECEIVED, TESTED, cask, event

pytestmark = pytest.mark.thorough

FAIL = event("dt3q62s1", "2015-03-20", "test", "psi: 11", "result: fail", "leaks: [{at: joint-1}]")
LEAK = event("dtcw0001", "2015-04-02", "note", "note: it leaks")
PATH = "records/casks/TH-004/TH-004217.yaml"
BASE = cask(RECEIVED, EXAMINED)


def notes(*ids: str) -> list[str]:
    return [event(f"e{one}000000"[:8], "2016-01-01", "note", f"note: '{one}'") for one in sorted(ids)]


def since(graph: Graph, old: int, new: int, **more: object):
    repo = graph.write()
    return append_only_since(repo.ledger, graph.names[old], graph.names[new], "records/", **more)


def test_a_fail_edited_to_pass_and_back_is_told_with_its_commit_and_who_put_it_back(tmp_path: Path):
    graph = chain(tmp_path, BASE, cask(RECEIVED, EXAMINED, FAIL), cask(RECEIVED, EXAMINED, TESTED), cask(RECEIVED, EXAMINED, FAIL))
    found = since(graph, 0, 3)
    assert set(told(found)) == {"landed-event-altered"} and {one.origin.commit for one in found} == {graph.names[2]}
    result = next(one for one in found if "`result`" in one.message)
    assert f'`result` was "fail" when it landed, is "pass" ({graph.names[2][:10]}, Tester, 2023-11-16; put back by {graph.names[3][:10]})' in result.message
    assert result.help == "it stands as it was again; who altered it, and why, is to be asked"
    assert all(one.origin.put_back == graph.names[3] for one in found)
    assert since(graph, 0, 3, ends_only=True) == []


def test_a_leak_entered_and_reverted_was_committed_all_the_same(tmp_path: Path):
    graph = chain(tmp_path, BASE, cask(RECEIVED, EXAMINED, LEAK), BASE, cask(RECEIVED, EXAMINED, LEAK))
    (found,) = since(graph, 0, 2)
    assert found.code == "landed-event-removed" and found.origin.commit == graph.names[2] and not found.origin.put_back
    (found,) = since(graph, 0, 3)
    assert found.origin.put_back == graph.names[3]


def test_a_file_deleted_and_put_back(tmp_path: Path):
    graph = chain(tmp_path, BASE, {}, BASE)
    (found,) = since(graph, 0, 2)
    assert found.code == "landed-file-removed" and found.origin.put_back == graph.names[2]


def benches(tmp_path: Path, merged: str) -> Graph:
    """A base, a day of each of two benches, and what their merge holds."""
    graph = Graph(tmp_path)
    base = graph.add({PATH: BASE})
    yard = graph.add({PATH: cask(RECEIVED, EXAMINED, *notes("a"))}, base)
    bench = graph.add({PATH: cask(RECEIVED, EXAMINED, *notes("b"))}, base, author="Bench")
    graph.add({PATH: merged}, yard, bench)
    return graph


def test_a_merge_that_swallows_a_day_is_named(tmp_path: Path):
    graph = benches(tmp_path, cask(RECEIVED, EXAMINED, *notes("a")))
    for old in (0, 1):
        (found,) = since(graph, old, 3)
        assert found.code == "landed-event-removed" and found.origin.commit == graph.names[3] and "note of 2016-01-01 (eb000000) is gone" in found.message


def test_a_lawful_merge_alarms_nobody_and_an_alteration_on_one_side_is_told_once(tmp_path: Path):
    assert since(benches(tmp_path / "a", cask(RECEIVED, EXAMINED, *notes("a", "b"))), 0, 3) == []
    graph = Graph(tmp_path / "b")
    base = graph.add({PATH: cask(RECEIVED, EXAMINED, TESTED)})
    yard = graph.add({PATH: cask(RECEIVED, EXAMINED, TESTED, *notes("a"))}, base)
    bad = graph.add({PATH: cask(RECEIVED, EXAMINED, TESTED.replace("psi: 11", "psi: 9"))}, base, author="Bench Two")
    graph.add({PATH: cask(RECEIVED, EXAMINED, TESTED.replace("psi: 11", "psi: 9"), *notes("a"))}, yard, bad)
    (found,) = since(graph, 0, 3)
    assert found.origin.commit == graph.names[bad] and found.origin.author == "Bench Two"
    (found,) = since(graph, yard, 3)
    assert found.origin.commit == graph.names[bad]


def test_an_octopus_and_a_criss_cross_lose_nothing_or_are_named(tmp_path: Path):
    for swallow in (False, True):
        graph = Graph(tmp_path / str(swallow))
        base = graph.add({PATH: BASE})
        arms = [graph.add({PATH: cask(RECEIVED, EXAMINED, *notes(one))}, base) for one in "abc"]
        graph.add({PATH: cask(RECEIVED, EXAMINED, *notes(*("ab" if swallow else "abc")))}, *arms)
        assert [one.origin.commit for one in since(graph, 0, 4)] == ([graph.names[4]] if swallow else [])
    graph = Graph(tmp_path / "cross")
    base = graph.add({PATH: BASE})
    one, two = (graph.add({PATH: cask(RECEIVED, EXAMINED, *notes(name))}, base) for name in "ab")
    left = graph.add({PATH: cask(RECEIVED, EXAMINED, *notes("a", "b"))}, one, two)
    right = graph.add({PATH: cask(RECEIVED, EXAMINED, *notes("a", "b"))}, two, one)
    left_two = graph.add({PATH: cask(RECEIVED, EXAMINED, *notes("a", "b", "c"))}, left)
    right_two = graph.add({PATH: cask(RECEIVED, EXAMINED, *notes("a", "b", "d"))}, right)
    both = graph.add({PATH: cask(RECEIVED, EXAMINED, *notes("a", "b", "c", "d"))}, left_two, right_two)
    lost = graph.add({PATH: cask(RECEIVED, EXAMINED, *notes("a", "b", "c"))}, left_two, right_two)
    assert since(graph, base, both) == []
    assert [finding.origin.commit for finding in since(graph, base, lost)] == [graph.names[lost]]


def test_a_force_push_is_said_first(tmp_path: Path):
    graph = Graph(tmp_path)
    base = graph.add({PATH: BASE})
    old = graph.add({PATH: cask(RECEIVED, EXAMINED, FAIL)}, base)
    new = graph.add({PATH: cask(RECEIVED, EXAMINED, TESTED)}, base)
    found = since(graph, old, new)
    assert found[0].code == "landed-history-parted" and "1 commit of it not here" in found[0].message
    assert "landed-event-altered" in told(found)


def test_a_moved_folder_a_rename_and_a_program(tmp_path: Path):
    moved = {"records/casks/TH-00X/TH-004217.yaml": BASE}
    (found,) = since(chain(tmp_path / "a", BASE, moved), 0, 1)
    assert found.code == "landed-file-renamed" and "this was casks/TH-004/TH-004217.yaml when it landed" in found.message
    (found,) = since(chain(tmp_path / "b", BASE, {"records/casks/TH-004/TH-004218.yaml": BASE}), 0, 1)
    assert "this was TH-004217 when it landed" in found.message
    for mode, word in (("100755", "a program"), ("120000", "a link")):
        graph = Graph(tmp_path / mode)
        graph.add({PATH: BASE})
        graph.add({PATH: BASE if mode == "100755" else "../x"}, 0, modes={PATH: mode})
        graph.add({PATH: BASE}, 1)
        (found,) = since(graph, 0, 1)
        assert found.code == "landed-mode-changed" and found.message.startswith(f"this was a plain file when it landed, is {word} (")
        (found,) = since(graph, 0, 2)
        assert found.origin.put_back == graph.names[2]


@pytest.mark.parametrize(("attributes", "words"), [
    (ATTRIBUTES.replace("merge=caskbook", ""), "`merge`"), (ATTRIBUTES.replace("-text", ""), "`eol`"), (f"{ATTRIBUTES}{PATH} merge=ours\n", "`merge` of TH-004217.yaml was caskbook"),
    (f"{ATTRIBUTES}*.yaml filter=x\n", "`filter`"),
])  # fmt: skip
def test_attributes_that_switch_our_merge_off(tmp_path: Path, attributes: str, words: str):
    found = since(chain(tmp_path, BASE, {PATH: BASE, ".gitattributes": attributes}), 0, 1)
    assert set(told(found)) == {"landed-merge-switched-off"} and words in found[0].message and found[0].origin
    deep = since(chain(tmp_path / "deep", BASE, {PATH: BASE, "records/casks/.gitattributes": "* -merge\n"}), 0, 1)
    assert told(deep) == ["landed-merge-switched-off"]
    assert since(chain(tmp_path / "more", BASE, {PATH: BASE, ".gitattributes": ATTRIBUTES + "*.png binary\n"}), 0, 1) == []


KD = "  - {initials: kd, name: K D, from: 2010-01-01}\n"
LIMIT = "test_limit_psi:\n  - {since: 2010-01-01, value: 11}\n"
HOUSES = {
    "dropped": (HOUSE, HOUSE.replace(KD, ""), "landed-setting-changed", "`crew.kd.2010-01-01`", None),
    "from altered": (HOUSE, HOUSE.replace("K D, from: 2010", "K D, from: 2012"), "landed-setting-changed", "crew.kd", 4),
    "until": (HOUSE, HOUSE.replace("K D, from: 2010-01-01", "K D, from: 2010-01-01, until: 2024-01-01"), None, "", None),
    "back again": (HOUSE.replace("K D, from: 2010-01-01", "K D, from: 2010-01-01, until: 2024-01-01"), HOUSE, "landed-setting-changed", "crew.kd", 4),
    "joined": (HOUSE, HOUSE + "  - {initials: mm}\n", None, "", None),
    "value altered": (HOUSE + LIMIT, HOUSE + LIMIT.replace("11", "14"), "landed-setting-changed", "`test_limit_psi.2010-01-01` was 11 when it landed, is 14", 6),
    "value added": (HOUSE + LIMIT, HOUSE + LIMIT + "  - {since: 2024-01-01, value: 12}\n", None, "", None),
    "made plain": (HOUSE + LIMIT, HOUSE + "test_limit_psi: 11\n", "landed-setting-changed", "test_limit_psi.2010", None),
    "undated": (HOUSE + "test_limit_psi: 11\n", HOUSE + "test_limit_psi: 12\n", "undated-setting-changed", "`test_limit_psi` was 11 when it landed, is 12", 5),
    "dated at last": (HOUSE + "test_limit_psi: 11\n", HOUSE + LIMIT, None, "", None),
    "dated otherwise": (HOUSE + "test_limit_psi: 12\n", HOUSE + LIMIT, "undated-setting-changed", "test_limit_psi", None),
    "shop gone": (HOUSE + "shops: [weir, moor]\n", HOUSE + "shops: [weir]\n", "landed-setting-changed", "shops.moor", 5),
    "due": (HOUSE + "due: {rechar: {due_at: 5}}\n", HOUSE + "due: {rechar: {due_at: 4}}\n", None, "", None),
    "name": (HOUSE + "name: A\n", HOUSE + "name: B\n", None, "", None),
    "type": (HOUSE + "types: {butt: {stave_floor_mm: 18}}\n", HOUSE + "types: {butt: {stave_floor_mm: 8}}\n", "undated-setting-changed", "types.butt.stave_floor_mm", 5),
}  # fmt: skip


@pytest.mark.parametrize("what", sorted(HOUSES))
def test_the_house_is_under_the_same_law(tmp_path: Path, what: str):
    old, new, code, words, line = HOUSES[what]
    graph = chain(tmp_path, {PATH: BASE, "records/house.yaml": old}, {PATH: BASE, "records/house.yaml": new}, {PATH: BASE, "records/house.yaml": old})
    found = since(graph, 0, 1)
    assert told(found) == ([code] if code else [])
    if code:
        assert words in found[0].message and found[0].path == "records/house.yaml" and found[0].origin.commit == graph.names[1]
        assert line is None or found[0].span.line == line
        assert next(one for one in since(graph, 0, 2) if one.code == code).origin.put_back == graph.names[2]


def test_one_cask_alone_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    others = {f"records/casks/TH-005/TH-0050{n:02d}.yaml": BASE.replace("TH-004217", f"TH-0050{n:02d}") for n in range(40)}
    graph = chain(tmp_path, {PATH: BASE, **others}, {PATH: cask(RECEIVED, EXAMINED, FAIL), **{name: text + LEAK for name, text in others.items()}},
                  {PATH: cask(RECEIVED, EXAMINED, TESTED), **others})  # fmt: skip
    repo = graph.write()
    read: list[str] = []
    blobs = Git.blobs
    monkeypatch.setattr(Git, "blobs", lambda self, oids: blobs(self, [read.append(oid) or oid for oid in oids]))
    found = append_only_since(repo.ledger, graph.names[0], graph.names[2], "records/", ["casks/TH-004/TH-004217.yaml"])
    assert set(told(found)) == {"landed-event-altered"} and {one.cask for one in found} == {"TH-004217"}
    assert len(set(read)) == 3, "the three versions of this cask and nothing else"
    assert BESIDE


def test_in_a_bare_repository_git_s_objects_are_enough(tmp_path: Path):
    graph = chain(tmp_path / "work", BASE, cask(RECEIVED, EXAMINED, FAIL), cask(RECEIVED, EXAMINED, TESTED))
    repo = graph.write()
    repo.git("clone", "-q", "--bare", str(repo.top), str(tmp_path / "bare"))
    monkey = append_only_since(tmp_path / "bare", graph.names[0], graph.names[2])
    assert monkey == [], "no ledger lies at the top of that repository"


# Laws over random histories


@st.composite
def histories(draw: st.DrawFn) -> list[tuple[tuple[int, ...], int | None]]:
    """For each commit its parents, and the note it adds; merges add none of their own."""
    made: list[tuple[tuple[int, ...], int | None]] = [((), None)]
    for n in range(1, draw(st.integers(2, 9))):
        parents = tuple(draw(st.lists(st.integers(max(0, n - 4), n - 1), min_size=1, max_size=3, unique=True)))
        made.append((parents, n if len(parents) == 1 else None))
    heads = sorted(set(range(len(made))) - {parent for parents, _ in made for parent in parents})
    return [*made, (tuple(heads), None)] if len(heads) > 1 else made


def held(shape: list[tuple[tuple[int, ...], int | None]]) -> list[set[int]]:
    sets: list[set[int]] = []
    for parents, note in shape:
        sets.append(set().union(*(sets[parent] for parent in parents)) | ({note} if note is not None else set()))
    return sets


def built(top: Path, shape: list[tuple[tuple[int, ...], int | None]], at: int = -1, drop: int = -1) -> Graph:
    """The history of this shape; from commit `at` on, what descends from it lacks the note `drop` (others keep it)."""
    graph = Graph(top)
    lacks: list[bool] = []
    for n, ((parents, _), ids) in enumerate(zip(shape, held(shape), strict=True)):
        lacks.append(n == at or any(lacks[parent] for parent in parents))
        kept = ids - ({drop} if lacks[n] else set())
        graph.add({PATH: cask(RECEIVED, EXAMINED, *notes(*(f"{one:02d}" for one in kept)))}, *parents)
    return graph


@settings(max_examples=10)
@given(shape=histories(), start=st.integers(0, 20))
def test_adding_and_merging_alters_nothing(tmp_path_factory: pytest.TempPathFactory, shape, start: int):
    graph = built(tmp_path_factory.mktemp("g"), shape)
    last = len(shape) - 1
    assert [one for one in since(graph, 0, last) if one.code != "landed-history-parted"] == []
    assert told(since(graph, min(start, last), last)) in ([], ["landed-history-parted"])


@settings(max_examples=10)
@given(shape=histories(), data=st.data())
def test_one_unlawful_edit_anywhere_is_found_at_its_commit(tmp_path_factory: pytest.TempPathFactory, shape, data: st.DataObject):
    sets = held(shape)
    places = [(n, note) for n, (parents, _) in enumerate(shape) for note in set().union(*(sets[p] for p in parents)) if parents]
    if not places:
        return
    at, drop = data.draw(st.sampled_from(sorted(places)))
    graph = built(tmp_path_factory.mktemp("g"), shape, at, drop)
    found = since(graph, 0, len(shape) - 1)
    assert graph.names[at] in {one.origin.commit for one in found if one.origin and one.code == "landed-event-removed" and f"e{drop:02d}00000" in one.message}


@pytest.mark.slow
@settings(max_examples=300, deadline=None)
@given(shape=histories(), data=st.data())
def test_one_unlawful_edit_is_found_in_many_histories(tmp_path_factory: pytest.TempPathFactory, shape, data: st.DataObject):
    test_one_unlawful_edit_anywhere_is_found_at_its_commit.hypothesis.inner_test(tmp_path_factory, shape, data)
