"""What came since a revision: judging the casks concerned finds what judging the whole book finds, and lines that move change nothing."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from caskbook.checks.brought import brought, concerned, judged, place_of
from caskbook.core.finding import Finding
from caskbook.git import open_git
from caskbook.ledger.files import Ledger, open_folder
from caskbook.ledger.revisions import RevisionStore, between

pytestmark = pytest.mark.thorough

ROOT = Path(__file__).parents[2]
DAY = date(2026, 11, 25)


class Shipped:
    """The shipped ledger in a repository; each change is held against its first commit."""

    def __init__(self, top: Path) -> None:
        self.top = top
        shutil.copytree(ROOT / "records", top / "records", ignore=shutil.ignore_patterns(".caskbook"))
        self.git("init", "-q")
        self.first = self.commit()
        self.files = {path.stem: path.read_text() for path in (top / "records" / "casks").rglob("*.yaml")}

    def git(self, *words: str) -> str:
        names = ["-c", "user.name=ab", "-c", "user.email=ab@example.org", "-c", "commit.gpgsign=false"]
        return subprocess.run(["git", *names, *words], cwd=self.top, check=True, capture_output=True, text=True).stdout.strip()

    def commit(self) -> str:
        self.git("add", "-A")
        self.git("commit", "-q", "--allow-empty", "-m", "x")
        return self.git("rev-parse", "HEAD")

    def with_files(self, changed: dict[str, str | None]) -> tuple[list[Finding], list[Finding], int]:
        """(new findings by the casks concerned, by the whole book, how many were concerned)."""
        for name, text in changed.items():
            path = self.top / "records" / (name if "/" in name or "." in name else f"casks/{name[:-3]}/{name}.yaml")
            if text is None:
                path.unlink()
            else:
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(text)
        new = self.commit()
        self.git("reset", "-q", "--hard", self.first)
        git = replace(open_git(self.top), under="records/")
        before, after = (Ledger(RevisionStore.of_tree(git, one, "records/")) for one in (self.first, new))
        changes = between(git, self.top / "records", self.first, new, "records/")

        def whole(ledger: Ledger):  # type: ignore[no-untyped-def]
            return judged(ledger, DAY, set(ledger.names()))

        few = brought(git, [before], after, changes, DAY, whole)
        every = brought(git, [before], after, replace(changes, house_old=b"forced"), DAY, whole)
        return list(few.findings), list(every.findings), len(concerned(git, before, changes)[0])


@pytest.fixture(scope="module")
def shipped(tmp_path_factory: pytest.TempPathFactory) -> Shipped:
    return Shipped(tmp_path_factory.mktemp("shipped"))


def mentioned() -> list[str]:
    """Casks that other files speak of, a few of each kind of tie."""
    found: dict[str, set[str]] = {}
    for path in sorted((ROOT / "records" / "casks").rglob("*.yaml")):
        for key, number in re.findall(r"(\w+): \[?(TH-\d{6})", path.read_text()):
            if number != path.stem and (ROOT / "records" / "casks" / number[:-3] / f"{number}.yaml").exists():
                found.setdefault(key, set()).add(number)
    return sorted({number for numbers in found.values() for number in sorted(numbers)[:2]})


@pytest.mark.parametrize("number", mentioned())
def test_a_cask_that_others_speak_of_is_gone(shipped: Shipped, number: str):
    few, every, count = shipped.with_files({number: None})
    assert few == every and any(finding.cask != number for finding in every) and count < len(shipped.files) / 2


@pytest.mark.parametrize("number", mentioned()[:6])
def test_the_last_entries_of_a_cask_that_others_speak_of_are_gone(shipped: Shipped, number: str):
    text = shipped.files[number]
    few, every, _ = shipped.with_files({number: text[: text.rindex("\n  - ") + 1]})
    assert few == every


def test_old_findings_that_move_are_not_new_and_one_more_of_them_is(shipped: Shipped):
    text = shipped.files["TH-003380"]
    assert "psi: 12" in text
    moved = text.replace("format: 1\n", "format: 1\n# a remark\n\n# and one more\n")
    assert shipped.with_files({"TH-003380": moved})[0] == []
    again = text + "  - id: gqw00009\n    date: 2026-11-24\n    job: test\n    by: ab\n    psi: 12\n    result: pass\n"
    few, every, _ = shipped.with_files({"TH-003380": again})
    over = [finding.span.line for finding in few if finding.code == "test-over-house-limit"]
    assert few == every and over == [again.count("\n", 0, again.index("gqw00009")) + 5]


def test_what_a_third_cask_took_of_a_donor_is_counted(shipped: Shipped):
    """The cask that changed speaks of a donor, and another one, which did not change, speaks of it too."""
    text = shipped.files["TH-003377"]
    staves = ", ".join(str(n) for n in range(1, 29))
    taken = "  - id: gqw00008\n    date: 2026-11-24\n    job: open\n    by: ab\n    heads: [A]\n  - id: gqw00009\n    date: 2026-11-24\n    job: stave\n    by: ab\n"
    taken += f"    staves: [{staves}]\n    action: replace\n    from: TH-004404\n"
    few, every, _ = shipped.with_files({"TH-003377": text + taken})
    assert "29 staves taken of it in all" in " ".join(finding.message for finding in every if finding.code == "donor-out-of-staves") and few == every


@pytest.mark.parametrize("written", ['"TH\\x2d004404"', '"\\x54H-004404"', '"TH-0044\\\n      04"', "TH-004404"])
def test_a_number_is_found_however_it_is_written(shipped: Shipped, written: str):
    """A cask speaks of its donor with escapes: what becomes of either brings the same findings as to the whole book."""
    text = shipped.files["TH-004401"].replace("from: TH-004404", f"from: {written}")
    donor = shipped.files["TH-004404"]
    last = re.findall(r"id: (\w+)\n    date: \S+\n    job: break-up", donor)[-1]
    voided = donor + f"  - id: gqw00009\n    date: 2026-11-24\n    job: void\n    by: ab\n    of: {last}\n    why: wrong\n"
    assert written == "TH-004404" or text != shipped.files["TH-004401"]
    try:
        (shipped.top / "records" / "casks" / "TH-004" / "TH-004401.yaml").write_text(text)
        usual, shipped.first = shipped.first, shipped.commit()
        few, every, _ = shipped.with_files({"TH-004404": voided})
        assert few == every and [(finding.code, finding.cask) for finding in few] == [("donor-not-broken-up", "TH-004401")]
        (shipped.top / "records" / "casks" / "TH-004" / "TH-004404.yaml").write_text(voided)
        shipped.first = shipped.commit()
        few, every, _ = shipped.with_files({"TH-004401": text + "  - {id: gqw00008, date: 2026-11-24, job: note, by: ab, note: seen}\n"})
        assert few == every == []
    finally:
        shipped.first = usual
        shipped.git("reset", "-q", "--hard", usual)


def test_a_cask_that_speaks_of_a_donor_with_escapes_is_held_against_it(shipped: Shipped):
    """The file that changes spells the number of a cask that did not change, and a third one took all of that."""
    staves = ", ".join(str(n) for n in range(1, 29))
    taken = "  - id: gqw00008\n    date: 2026-11-24\n    job: open\n    by: ab\n    heads: [A]\n  - id: gqw00009\n    date: 2026-11-24\n    job: stave\n    by: ab\n"
    taken += f'    staves: [{staves}]\n    action: replace\n    from: "TH\\x2d004404"\n'
    few, every, _ = shipped.with_files({"TH-003377": shipped.files["TH-003377"] + taken})
    assert "29 staves taken of it in all" in " ".join(finding.message for finding in every if finding.code == "donor-out-of-staves") and few == every


def test_a_setting_judges_everything(shipped: Shipped):
    house = (shipped.top / "records" / "house.yaml").read_text()
    few, _, _ = shipped.with_files({"house.yaml": re.sub(r"(?m)^crew:\n(?:  .*\n)+", "crew:\n  - {initials: zz, name: Z Z, from: 2000-01-01}\n", house)})
    assert {finding.code for finding in few} >= {"unknown-crew"} and len({finding.cask for finding in few}) > 20


def test_a_stray_file_is_news_once(shipped: Shipped):
    stray = shipped.top / "records" / "casks" / "old.txt"
    stray.write_text("x")
    landed = shipped.commit()
    another = stray.with_name("new.txt")
    another.write_text("x")
    ledger = open_folder(shipped.top / "records", shipped.top)
    git = open_git(shipped.top / "records")
    changes = between(git, shipped.top / "records", landed, "work tree", "records/")
    found = brought(git, [Ledger(RevisionStore.of_tree(git, landed, "records/"))], ledger, changes, DAY, lambda _: pytest.fail("not all of it"))
    shipped.git("reset", "-q", "--hard", shipped.first)
    another.unlink()
    assert [(finding.code, finding.path) for finding in found.findings] == [("stray-file", "records/casks/new.txt")]


LINES = [
    "cask: TH-1",
    "events:",
    "  - id: e1",
    "    date: 2020-01-01",
    "    leaks:",
    "      - at: joint-1",
    "  - {id: e2, job: note,",
    "    note: x}",
    "  - date: 2020-01-02",
    "    job: note",
]
WITHOUT_ID = "- date: 2020-01-02\n    job: note"


@pytest.mark.parametrize(
    ("line", "place"),
    [
        (1, ("cask: TH-1", "")),
        (4, ("e1", "date")),
        (6, ("e1", "at")),
        (7, ("e2", "")),
        (8, ("e2", "note")),
        (9, (WITHOUT_ID, "date")),
        (10, (WITHOUT_ID, "job")),
        (99, (WITHOUT_ID, "")),
    ],
)
def test_the_place_of_a_line(line: int, place: tuple[str, str]):
    assert place_of(LINES, line) == place


def test_what_changes_in_a_joined_cask_brings_what_the_whole_book_finds(shipped: Shipped):
    """The file that goes on speaks of the one joined to it, which speaks of none: an entry of either is judged by both."""
    joined = "cask: TH-003999\nformat: 1\ntype: barrel\ncapacity_l: 190\nstaves: 30\nevents:\n"
    regauge = "  - {id: gqw00005, date: 2026-11-20, job: regauge, by: ab, method: meter, litres: 9, abv: 60, at_20: true}\n"
    regauge += "  - {id: gqw00006, date: 2026-11-20, job: measure, by: ab, capacity_l: 900}\n"
    same = "  - {id: gqw00009, date: 2026-11-24, job: same-as, by: ab, of: TH-003999, why: two stencils}\n"
    alone, _, _ = shipped.with_files({"TH-003999": joined + regauge})
    assert {"no-arrival", "job-on-empty-cask", "capacity-unlike-type"} <= {finding.code for finding in alone}
    usual = shipped.first
    try:
        for name, text in (("TH-003999", joined + "  []\n"), ("TH-003379", shipped.files["TH-003379"] + same)):
            path = shipped.top / "records" / "casks" / name[:6] / f"{name}.yaml"
            path.write_text(text)
        shipped.first = shipped.commit()
        few, every, _ = shipped.with_files({"TH-003999": joined + regauge})
        codes = {finding.code for finding in few}
        assert few == every and "capacity-unlike-type" in codes and not codes & {"no-arrival", "job-on-empty-cask"}, few
        few, every, _ = shipped.with_files({"TH-003379": shipped.files["TH-003379"], "TH-003999": joined + regauge})
        assert few == every and "job-on-empty-cask" in {finding.code for finding in few}
    finally:
        shipped.first = usual
        shipped.git("reset", "-q", "--hard", usual)
