"""The first check of a large book: what is read for all is read once, and it may end at any moment."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from caskbook.index import check_book
from caskbook.index.check_files import Checked
from caskbook.ledger.files import Ledger
from index.book import answer, commit_all, make_demo, same, without_index


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A ledger in which casks are racked and remade, none of its files known to the index."""
    return make_demo(tmp_path / "book", 60)


def test_no_process_reads_the_whole_book_for_what_files_claim(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check_book, "FEW", 2)
    asked: list[int] = []
    usual = Ledger.claims_of

    def counted(self: Ledger, names: Iterable[str]) -> dict[str, list[str]]:
        every = list(names)
        asked.append(len(every))
        return usual(self, every)

    monkeypatch.setattr(Ledger, "claims_of", counted)
    with without_index():
        assert answer(book, "check")[0] in (0, 1)
    assert set(asked) == {1}


@pytest.mark.thorough
def test_a_first_check_that_is_cut_off_leaves_nothing_that_is_believed(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Answers of before are not taken for files of which a check that did not come to its end has kept what they hold."""
    commit_all(book)
    assert same(book, "due")[0] == 0
    for path in sorted(book.glob("casks/*/*.yaml"))[:30]:
        text = path.read_text(encoding="utf-8")
        path.write_text(
            f"{text.partition('events:')[0]}note: seen again\nevents:{text.partition('events:')[2]}".replace("capacity_l: 200", "capacity_l: 201"),
            encoding="utf-8",
        )
    commit_all(book)
    monkeypatch.setattr(check_book, "BATCH", 10)
    monkeypatch.setattr(check_book, "_FEW", 0)
    usual = check_book._write

    kept: list[Checked] = []

    def cut_off(store: Any, snapshot: Any, contents: Any, batch: list[Checked], *rest: Any) -> None:
        if kept:
            raise KeyboardInterrupt
        kept.extend(batch)
        usual(store, snapshot, contents, batch, *rest)

    monkeypatch.setattr(check_book, "_write", cut_off)
    assert answer(book, "check")[0] not in (0, 1)
    monkeypatch.undo()
    assert len(kept) == 10
    for words in (("list", "--columns", "cask,capacity_l"), ("due",), ("check",)):
        assert same(book, *words)[0] in (0, 1)


@pytest.mark.thorough
def test_a_copied_cask_is_told_by_a_first_check_on_all_cores_and_by_every_later_one(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both files are known from the index then, or one of them, or neither."""
    monkeypatch.setattr(check_book, "FEW", 2)
    monkeypatch.setattr(check_book, "_FEW", 0)
    path = sorted(book.glob("casks/*/*.yaml"))[30]
    copy = path.with_name(f"{path.stem[:-3]}999.yaml")
    data = path.read_text(encoding="utf-8").replace(f"cask: {path.stem}", f"cask: {copy.stem}")
    copy.write_text(data, encoding="utf-8")

    def told() -> bool:
        code, text = same(book, "check", "--format", "concise")[:2]
        assert text.count("copied-cask") == (code == 1)
        return f"{copy.name}:1:7: error copied-cask" in text

    assert told() and told()
    for one in (path, copy):
        one.write_text(one.read_text(encoding="utf-8").replace("\nevents:", "\nnote: seen again\nevents:"), encoding="utf-8")
        assert told() and told()
    copy.unlink()
    assert not told()
    copy.write_text(data, encoding="utf-8")
    assert told() and told()


def test_a_cask_with_a_finding_of_its_own_counts_among_those_of_its_vat(book: Path) -> None:
    fill = "- {{id: {}, date: 2026-01-03, job: fill, by: {}, spirit: malt, litres: 198, abv: 63.5, at_20: true, vat: V-OF-TEST, vat_litres: {}}}"
    head = "cask: {}\nformat: 1\ntype: barrel\ncapacity_l: 200\nevents:\n  - {{id: {}, date: 2026-01-02, job: receive, by: {}, verdict: accept}}\n"
    for n, litres in ((1, 400), (2, 4000)):
        number = f"TH-90000{n}"
        path = book / "casks" / number[:-3] / f"{number}.yaml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(head.format(number, f"gw00000{n}", "zz") + "  " + fill.format(f"gw00001{n}", "zz", litres) + "\n", encoding="utf-8")
    found = same(book, "check", "--format", "concise")[1]
    assert "unknown-crew" in found and "vat-litres-differ" in found
