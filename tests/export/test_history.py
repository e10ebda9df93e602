"""Whatever is done to a book from export to export, what is written piece by piece is what is written at once: byte for byte, on every day, in every order."""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from collections import Counter
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from index.book import make_demo

from caskbook.export import buckets, changes, tables
from caskbook.export.schema import table
from export.exports import commit, export, files, git, manifest, parquet_rows

BEGUN = date(2026, 6, 30)
TURNS = ("note", "move", "regauge", "void", "correct", "same-as", "gone", "revert", "later", "comment", "house", "day", "far", "back")


class Book:
    """An invented ledger to which one thing after another is done."""

    def __init__(self, root: Path, seed: int) -> None:
        self.root, self.day, self.random = root, BEGUN, random.Random(seed)
        assert caskbook("demo", str(root), "--casks", "40", "--seed", str(seed)).returncode == 0
        commit(root)

    def any_file(self) -> Path:
        return self.random.choice(sorted((self.root / "casks").rglob("*.yaml")))

    def enter(self, job: str, cask: str, *fields: str, day: date | None = None) -> subprocess.CompletedProcess[str]:
        words = ("--by", "dy", "--date", (day or self.day).isoformat(), "--records", str(self.root), "--yes")
        told = () if job in ("void", "same-as", "correct") else ("--anyway", "--why", "as it is")
        return caskbook("enter", job, cask, *fields, *words, *told)

    def turn(self, what: str) -> None:
        """One of TURNS; nothing where the book does not take it of this cask."""
        file = self.any_file()
        cask = file.stem
        if what in ("note", "later"):
            day = (
                self.day + timedelta(days=self.random.choice((2, 9, 200))) if what == "later" else self.day - timedelta(days=self.random.choice((0, 0, 3, 500)))
            )
            self.enter("note", cask, "--note", f"seen {self.random.random()}", day=day)
        elif what == "move":
            self.enter("move", cask, "--berth", f"W{self.random.randint(1, 9)}/05/{self.random.randint(1, 99)}")
        elif what == "regauge":
            self.enter("regauge", cask, "--litres", str(self.random.randint(60, 150)), "--abv", "58.5", "--method", "meter")
        elif what == "void":
            self.enter("void", cask, "--of", self.random.choice(re.findall(r"- id: (\w+)", file.read_text(encoding="utf-8"))), "--why", "wrong cask")
        elif what == "correct":
            self.enter(
                "correct",
                cask,
                *self.random.choice((("--maker", f"shop {self.random.random()}"), ("--type", "butt"), ("--staves", "33"))),
                "--why",
                "read again",
            )
        elif what == "same-as":
            self.enter("same-as", cask, "--of", self.any_file().stem, "--why", "one cask")
        elif what == "gone":
            git(self.root, "rm", "-qf", str(file))
        elif what == "comment":
            file.write_text(file.read_text(encoding="utf-8") + "# looked through\n", encoding="utf-8")
        elif what == "house":
            house = self.root / "house.yaml"
            house.write_text(house.read_text(encoding="utf-8") + f"# {self.random.random()}\n", encoding="utf-8")
        elif what in ("name", "nameless", "folder"):
            self._rename(what)
        elif what == "revert":
            self._revert()
        self.day += timedelta(days={"day": 1, "far": 100, "back": -30}.get(what, 0))

    def _rename(self, what: str) -> None:
        """The house is called otherwise, or not at all any more and the book as its folder is, or that folder otherwise."""
        new = f"house{self.random.randint(1, 9999)}"
        if what == "folder":
            self.root = self.root.rename(self.root.with_name(new))
            return
        house = self.root / "house.yaml"
        rest = re.sub(r"(?m)^name:.*\n", "", house.read_text(encoding="utf-8"))
        house.write_text(("" if what == "nameless" else f"name: {new}\n") + rest, encoding="utf-8")

    def commit(self, what: str) -> None:
        """What was done is committed, where anything was."""
        if git(self.root, "status", "--porcelain"):
            commit(self.root, what)

    def _revert(self) -> None:
        """What the last commit did is taken back, where it did anything and was not the first."""
        if git(self.root, "rev-list", "--count", "HEAD").strip() != "1":
            git(self.root, "-c", "user.name=ab", "-c", "user.email=ab@example.org", "revert", "--no-edit", "HEAD")


def of_day(folder: Path, form: str, day: date, *, other: bool) -> dict[str, bytes]:
    """Path → content of the files of a folder, but of the tables with a part for each day: those of the day, or of any other one."""
    found = files(folder, form)
    return {path: content for path, content in found.items() if ("as_of=" in path and f"as_of={day}" not in path) == other}


class Lakes:
    """One folder for each format, exported into after each turn and held against an export of a fresh one. `keep`: how many days stay."""

    def __init__(self, at: Path, book: Book, keep: int | None = None) -> None:
        self._at, self._book, self._more = at, book, () if keep is None else ("--keep", str(keep))
        self._keep, self.before = keep, {"parquet": dict[str, bytes](), "csv": dict[str, bytes]()}
        self.stayed, self.ledgers = 0, set[str]()

    def hold(self, form: str, turn: tuple[int, str]) -> None:
        """What is there after a turn is what a fresh folder has, and of other days what was there."""
        book, before = self._book, self.before[form]
        lake, fresh = self._at / form, self._at / f"fresh-{form}"
        done, anew = (export(book.root, folder, form, "--as-of", book.day.isoformat(), *self._more) for folder in (lake, fresh))
        assert done.returncode == anew.returncode == 0, (turn, done.stderr, anew.stderr)
        now, at_once = of_day(lake, form, book.day, other=False), of_day(fresh, form, book.day, other=False)
        assert sorted(now) == sorted(at_once), turn
        assert [path for path in now if now[path] != at_once[path]] == [], turn
        assert sorted(one["path"] for one in manifest(lake)["files"]) == sorted(files(lake, form)), turn
        ledger = manifest(lake)["ledger"]
        self.ledgers.add(ledger)
        before = {re.sub("ledger=[^/]+", f"ledger={ledger}", path): content for path, content in before.items()}
        others = sorted({path.split("as_of=")[1][:10] for path in before if "as_of=" in path} - {book.day.isoformat()})
        stay = others[-self._keep + 1 :] if self._keep is not None else others
        days = of_day(lake, form, book.day, other=True)
        assert days == {path: content for path, content in before.items() if any(f"as_of={day}" in path for day in stay)}, turn
        self.stayed += sum(before.get(path) == content for path, content in now.items())
        self.before[form] = {**days, **now}
        shutil.rmtree(fresh)


@pytest.fixture
def spliced(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often files of each table are made of those that are there, in a book of few casks parted as one of many is."""
    monkeypatch.setattr(buckets, "MOST_CASKS", 4)
    monkeypatch.setattr(changes, "_MOST_CHANGED", 1)
    found: Counter[str] = Counter()
    splice = tables.splice
    monkeypatch.setattr(tables, "splice", lambda path, base, of, *rest: (found.update([of.name]), splice(path, base, of, *rest))[1])
    return found


@pytest.mark.thorough
@pytest.mark.parametrize(("seed", "every"), [(9, 3), *(pytest.param(seed, 1, marks=pytest.mark.slow) for seed in range(9, 18))])
def test_an_export_after_any_work_is_the_export_of_a_fresh_folder(tmp_path: Path, spliced: Counter[str], seed: int, every: int) -> None:
    """After each turn, or after every third one."""
    book = Book(tmp_path / "book", seed)
    turns = [*TURNS, *book.random.choices(TURNS, k=4)]
    book.random.shuffle(turns)
    lakes = Lakes(tmp_path, book)
    for number, what in enumerate(["", *turns, "day", "note"]):
        book.turn(what)
        if number % 4 != 1:
            book.commit(what)
        for form in () if number % every else ("parquet", "csv") if number % (3 * every) == 0 else ("parquet",):
            lakes.hold(form, (number, what))
    assert {"event", "cask", "due", "fill", "gauge"} <= spliced.keys() and lakes.stayed > 300 // every, (spliced, lakes.stayed)


@pytest.mark.thorough
@pytest.mark.parametrize(("seed", "every"), [(21, 2), *(pytest.param(seed, 1, marks=pytest.mark.slow) for seed in range(21, 26))])
def test_a_house_that_changes_its_name_meanwhile_leaves_nothing_of_the_old_one(tmp_path: Path, spliced: Counter[str], seed: int, every: int) -> None:
    """By its settings, by the folder of a book without a name, and back; with the latest three days kept; held after each turn, or every second."""
    book = Book(tmp_path / "book", seed)
    between = [book.random.choice(TURNS) for _ in range(7)]
    turns = [
        "",
        "day",
        "name",
        between[0],
        "day",
        between[1],
        "nameless",
        between[2],
        "day",
        "folder",
        between[3],
        "note",
        "folder",
        "day",
        "name",
        *between[4:],
        "day",
    ]
    lakes = Lakes(tmp_path, book, keep=3)
    for number, what in enumerate(turns):
        book.turn(what)
        if number % 3 != 1:
            book.commit(what)
        for form in () if number % every else ("parquet", "csv") if number % 3 == 2 else ("parquet",):
            lakes.hold(form, (number, what))
    assert len(lakes.ledgers) > 4 and {"event", "cask"} <= spliced.keys() and lakes.stayed > 200 // every, (lakes.ledgers, spliced, lakes.stayed)


@pytest.mark.thorough
def test_what_peers_make_of_a_cask_is_told_anew_though_nobody_touched_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cask is gone whose loss the others were held against: what is due of them reads otherwise, and the file of what is due with it."""
    monkeypatch.setattr(changes, "_MOST_CHANGED", 1)
    book, lake, fresh = make_demo(tmp_path / "book", 60), tmp_path / "lake", tmp_path / "fresh"
    day, others = ("--as-of", BEGUN.isoformat()), 0
    assert export(book, lake, "parquet", *day).returncode == 0
    for gone in ("TH-000024", "TH-000003", "TH-000019"):
        before = [row for row in parquet_rows(lake, table("due")) if gone not in row]
        next((book / "casks").rglob(f"{gone}.yaml")).unlink()
        for folder in (lake, fresh):
            assert export(book, folder, "parquet", *day).returncode == 0
        assert files(lake, "parquet") == files(fresh, "parquet"), gone
        others += before != parquet_rows(fresh, table("due"))
        shutil.rmtree(fresh)
    assert others > 1, "the losses of others were held against these"


def test_the_bucket_of_a_cask_is_the_same_everywhere_and_no_bucket_is_crowded() -> None:
    assert [buckets.bucket_of(cask, 128) for cask in ("TH-004217", "TR-000001", None)] == [67, 11, 0], "reckoned apart from the program"
    assert [buckets.buckets_for(casks) for casks in (0, 1000, 1001, 11_000, 110_000, 10**7)] == [1, 1, 2, 16, 128, 256]
    found: Counter[Any] = Counter(buckets.bucket_of(f"TH-{n:06d}", 16) for n in range(11_000))
    assert len(found) == 16 and max(found.values()) < 1.2 * 11_000 / 16
