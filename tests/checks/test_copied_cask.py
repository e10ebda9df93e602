"""A cask's file copied under another number is told; what several files lawfully share is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from caskbook.checks import Report, check_ledger
from caskbook.checks.copied import LEAST, Signs
from caskbook.core.finding import Finding
from checks.example_ledgers import TODAY, check_example, files_of, ledger_of

STORY = """- {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
- {id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
- {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5, at_20: true}
- {id: e1000004, date: 2020-01-04, job: note, by: ab, note: in its row}
"""


def told(report: Report) -> list[Finding]:
    return [finding for finding in report.findings if finding.code == "copied-cask"]


def book(**stories: str) -> str:
    return "".join(f"# {name.replace('_', '-')}\n{story}" for name, story in stories.items())


def test_a_copy_is_told_at_the_higher_number_and_names_the_other(tmp_path: Path) -> None:
    (one,) = told(check_example(book(TH_004217=STORY, TH_004219=STORY), tmp_path))
    assert one.severity == "error" and one.cask == "TH-004219" and one.path.endswith("TH-004219.yaml") and one.span.line == 1
    assert one.message == "4 entries, ids and all, stand in TH-004217 too"


def test_each_of_several_copies_is_told_once(tmp_path: Path) -> None:
    found = told(check_example(book(TH_004217=STORY, TH_004218=STORY, TH_004219=STORY), tmp_path))
    assert [one.cask for one in found] == ["TH-004218", "TH-004219"] and all(one.message.endswith(" TH-004217 too") for one in found)


def test_a_copy_that_goes_on_by_itself_and_is_altered_here_and_there_is_told_still(tmp_path: Path) -> None:
    other = STORY.replace("in its row", "in another row") + "- {id: e1000009, date: 2021-02-02, job: note, by: ab, note: seen}\n"
    (one,) = told(check_example(book(TH_004217=STORY, TH_004218=other), tmp_path))
    assert one.message.startswith(f"{LEAST} entries")


@pytest.mark.parametrize(
    "other",
    [
        STORY.replace("e100", "e200"),  # the same story of another cask
        STORY.replace("e1000002", "e2000002").replace("e1000003", "e2000003").replace("e1000004", "e2000004"),  # one id by chance
        STORY.replace("e1000003", "e2000003").replace("e1000004", "e2000004"),  # two of them
        STORY.replace("verdict: sound", "verdict: repair").replace("litres: 198", "litres: 197"),  # other figures
    ],
)
def test_what_is_alike_by_chance_is_not_told(tmp_path: Path, other: str) -> None:
    assert not told(check_example(book(TH_004217=STORY, TH_004218=other), tmp_path))


@pytest.mark.parametrize("which", ["TH-004217", "TH-004218"])
def test_entries_that_are_void_in_one_of_the_files_are_not_there_twice(tmp_path: Path, which: str) -> None:
    voids = "".join(f"- {{id: f100000{n}, date: 2020-02-02, job: void, by: ab, of: e100000{n}, why: copied by mistake}}\n" for n in (1, 2, 3, 4))
    stories = {name: STORY + (voids if name == which else "") for name in ("TH-004217", "TH-004218")}
    assert not told(check_example("".join(f"# {name}\n{story}" for name, story in stories.items()), tmp_path))


def test_work_on_several_casks_under_one_id_is_no_copy(tmp_path: Path) -> None:
    """Both files tell of three swaps of heads with a third one, each under its one id, and of what put two of them out of force."""
    swap = "- {{id: e100001{0}, date: 2020-03-0{0}, job: swap-heads, by: ab, with: TH-004230, heads: [A], why: mixed up}}\n"
    void = "- {{id: e100002{0}, date: 2020-03-0{0}, job: void, by: ab, of: e100001{0}, why: it was not so}}\n"
    work = "".join(swap.format(n) for n in (1, 2, 3)) + "".join(void.format(n) for n in (1, 2, 3))
    first, second = (f"- {{id: {ident}, date: 2020-01-01, job: receive, by: ab, verdict: accept}}\n" for ident in ("e1000001", "e1000002"))
    assert not told(check_example(book(TH_004217=first + work, TH_004218=second + work), tmp_path))


def test_a_number_joined_to_its_copy_has_its_entries_twice_all_the_same(tmp_path: Path) -> None:
    joined = STORY + "- {id: e1000008, date: 2021-02-02, job: same-as, by: ab, of: TH-004218, why: two stencils}\n"
    assert [one.cask for one in told(check_example(book(TH_004217=joined, TH_004218=STORY), tmp_path))] == ["TH-004218"]


def test_a_file_copied_without_a_new_number_is_told_as_such_alone(tmp_path: Path) -> None:
    files = files_of(book(TH_004217=STORY))
    files.texts["casks/TH-004/TH-004218.yaml"] = files.texts["casks/TH-004/TH-004217.yaml"]
    report = check_ledger(ledger_of(files, tmp_path), TODAY)
    assert {one.code for one in report.findings if one.severity == "error"} == {"id-not-file-name"}


def test_of_casks_that_are_named_only_these_are_held_against_each_other(tmp_path: Path) -> None:
    ledger = ledger_of(files_of(book(TH_004217=STORY, TH_004218=STORY)), tmp_path)
    names = [f"casks/TH-004/TH-00421{n}.yaml" for n in (7, 8)]
    assert not told(check_ledger(ledger, TODAY, names[1:]))
    assert [one.cask for one in told(check_ledger(ledger, TODAY, names))] == ["TH-004218"]


def test_signs_that_are_alike_are_found_among_many() -> None:
    signs = Signs()
    for n in range(1, 1000):
        signs.add(n * 7919, f"casks/TH-000/TH-{n:06}.yaml")
    signs.add(0, "casks/TH-001/TH-001000.yaml")
    signs.add(0, "casks/TH-001/TH-001001.yaml")
    assert signs.alike() == []
    signs.add(500 * 7919, "casks/TH-000/TH-000002.yaml")
    assert signs.alike() == [["TH-000002", "TH-000500"]]
