"""The offline book, read as a browser reads it: every page, every link, hostile texts, and what a folder may hold."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from contextlib import closing
from html.parser import HTMLParser
from pathlib import Path

import pytest
from commands import caskbook
from history.ledgers import EXAMINED, HOUSE, RECEIVED, cask, event
from index.book import make_demo
from pypdfium2 import PdfDocument
from shipped import shipped_book as shipped_book

from caskbook.core.finding import CaskbookError
from caskbook.ledger.files import Folder
from caskbook.pages.folder import MADE, check_folder, put_folder
from caskbook.pages.site import page as page_bytes

pytestmark = pytest.mark.thorough

ROOT = Path(__file__).parent.parent.parent
DAY = "2026-11-29"
VOID = {"meta", "link", "br", "input"}


def small_book(root: Path, **files: str) -> Path:
    """A ledger of these files, named TH_000001 for TH-000001."""
    (root / "casks" / "TH-000").mkdir(parents=True)
    (root / "house.yaml").write_text(HOUSE)
    for name, text in files.items():
        (root / "casks" / "TH-000" / f"{name.replace('_', '-')}.yaml").write_text(text)
    return root


class Page(HTMLParser):
    """Elements opened and closed in order, what is linked to, and the text between."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.links: list[str] = []
        self.text: list[str] = []
        self.tags: list[str] = []
        self._open: list[str] = []
        self.feed(path.read_text(encoding="utf-8"))
        assert self._open == [], path

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert not any(name.startswith("on") for name, _ in attrs)
        self.links += [value or "" for name, value in attrs if name in ("href", "src")]
        self.tags.append(tag)
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)

    def says(self, text: str) -> bool:
        """Whether the text stands on the page, however it is spaced."""
        return " ".join(text.split()) in " ".join(" ".join(self.text).split())


@pytest.fixture(scope="module")
def pages(shipped_book: None, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("pages") / "book"
    done = caskbook("book", str(folder), "--as-of", DAY)
    assert done.returncode == 0, done.stderr
    return folder


def data(*words: str) -> list[dict]:
    return json.loads(caskbook(*words, "--format", "json", "--as-of", DAY).stdout)


@pytest.mark.thorough
def test_every_file_has_a_page_and_every_link_leads_to_one(pages: Path) -> None:
    files = sorted((ROOT / "records" / "casks").glob("*/*.yaml"))
    found = {path.relative_to(pages).as_posix() for path in pages.rglob("*") if path.is_file()}
    assert {f"casks/{file.parent.name}/{file.stem}.html" for file in files} <= found
    assert set(json.loads((pages / MADE).read_text())) == found
    for path in pages.rglob("*.html"):
        for link in Page(path).links:
            assert ":" not in link and not link.startswith("/"), link
            assert (path.parent / link).resolve().is_file(), f"{path}: {link}"


def test_a_page_says_what_the_card_says_and_every_entry(pages: Path) -> None:
    number = "TH-004217" if (ROOT / "records/casks/TH-004/TH-004217.yaml").exists() else "TH-004402"
    card = caskbook("show", number, "--all", "--as-of", DAY).stdout
    page = Page(pages / "casks" / number[:-3] / f"{number}.html")
    for line in card.split("\n\n")[1].splitlines():
        for part in line[10:].split(" · "):
            assert page.says(part.strip()), part
    shown = json.loads(caskbook("show", number, "--format", "json", "--as-of", DAY).stdout)
    assert page.says(f"{len(shown['events'])} entries, the newest first")
    for one in shown["events"]:
        assert page.says(f"{one['date']} {one['job']}")


def test_what_is_due_and_in_stock_is_told_as_the_commands_tell_it(pages: Path) -> None:
    due = Page(pages / "due.html")
    rows = data("due")
    assert due.tags.count("tr") == len(rows) + 1
    assert all(due.says("; ".join(one["reasons"])) for one in rows)
    stock = Page(pages / "stock.html")
    whole = json.loads(caskbook("report", "stock", "--format", "json", "--as-of", DAY).stdout)
    assert stock.says(f"{whole['casks']} casks by type and fills since char")
    assert stock.tags.count("table") == len(whole["tables"])
    for row in whole["tables"][0]["rows"]:
        assert stock.says(" ".join([row["name"], *map(str, row["since_char"].values()), str(row["never_charred"]), str(row["unknown"]), str(row["casks"])]))


def search_rows_of(pages: Path) -> list[dict[str, str]]:
    """What the search goes through."""
    text = (pages / "casks.js").read_text()
    columns = json.loads(re.search(r"const COLUMNS = (.*);", text)[1])  # type: ignore[index]
    return [dict(zip(columns, row, strict=True)) for row in json.loads(text.partition("const CASKS = ")[2].rstrip(";\n"))]


def test_the_search_knows_each_cask_that_list_has(pages: Path) -> None:
    rows = search_rows_of(pages)
    listed = data("list")
    assert [row["cask"] for row in rows] == [one["cask"] for one in listed]
    assert [row["state"] for row in rows] == [one["state"] or "" for one in listed]
    rules: dict[str, list[str]] = {}
    for one in data("due"):
        rules.setdefault(one["cask"], []).append(one["rule"])
    assert {row["cask"] for row in rows if row["due"]} == set(rules)


def test_the_search_finds_a_cask_by_each_of_its_numbers(pages: Path) -> None:
    """A number that was joined is painted on a head still: it leads to the cask that goes on."""
    joined = {one["cask"]: one["joined"] for one in data("list", "--columns", "all") if one["joined"]}
    rows = search_rows_of(pages)
    assert joined and {row["cask"]: row["joined"].split(", ") for row in rows if row["joined"]} == joined
    assert all((pages / "casks" / number[:-3] / f"{number}.html").exists() for numbers in joined.values() for number in numbers)


def test_pictures_are_whole_xml_and_name_each_stave_and_piece(pages: Path) -> None:
    drawn = 0
    for path in pages.rglob("TH-*.html"):
        for picture in re.findall(r"<svg.*?</svg>", path.read_text(encoding="utf-8"), re.DOTALL):
            ET.fromstring(picture)
            drawn += 1
    assert drawn > 100
    hogshead = Page(pages / "casks" / "TH-004" / "TH-004402.html")  # 34 staves, heads of six pieces, a drip at head-A-joint-2.
    wanted = {*(f"{head}{number}" for head in "AB" for number in range(1, 7)), *map(str, range(1, 35)), "!*"}
    assert wanted <= set(hogshead.text)


@pytest.mark.thorough
def test_the_same_book_makes_the_same_bytes(pages: Path, tmp_path: Path) -> None:
    caskbook("book", str(tmp_path / "again"), "--as-of", DAY)
    assert {path.relative_to(pages): path.read_bytes() for path in pages.rglob("*") if path.is_file()} == {
        path.relative_to(tmp_path / "again"): path.read_bytes() for path in (tmp_path / "again").rglob("*") if path.is_file()
    }


@pytest.mark.thorough
def test_filters_and_names_narrow_the_pages_and_the_head_says_so(tmp_path: Path) -> None:
    done = caskbook("book", str(tmp_path / "butts"), "--type", "butt", "--as-of", DAY)
    butts = {one["cask"] for one in data("list", "--type", "butt")}
    assert {path.stem for path in (tmp_path / "butts").rglob("TH-*.html")} == butts and f"of {len(butts)} casks (only type butt)" in done.stdout
    assert Page(tmp_path / "butts" / "index.html").says("only type butt")


HOSTILE = '<script>alert(1)</script> &amp; "quoted" {{ 7 * 7 }}'


@pytest.mark.thorough
def test_nothing_in_the_book_is_markup(tmp_path: Path) -> None:
    note = event("dt3q62s1", "2015-03-20", "note", f"note: {json.dumps(HOSTILE)}")
    root = small_book(tmp_path / "book", TH_000001=cask(RECEIVED, EXAMINED, note, cask_id="TH-000001"))
    done = caskbook("book", str(tmp_path / "pages"), "--records", str(root))
    assert done.returncode == 0, done.stderr
    page = Page(tmp_path / "pages" / "casks" / "TH-000" / "TH-000001.html")
    assert "script" not in page.tags and page.says(HOSTILE)
    assert b"\xe2\x80\xae" not in page_bytes("joined.html", "", title="\u202e", house="", footer="\u202e", cask="", goes_on="TH-0000")


@pytest.mark.thorough
def test_what_cannot_be_read_has_a_page_that_says_so(tmp_path: Path) -> None:
    root = small_book(tmp_path / "book", TH_000001=cask(RECEIVED, cask_id="TH-000001"), TH_000002="cask: [")
    done = caskbook("book", str(tmp_path / "pages"), "--records", str(root))
    assert done.returncode == 0 and "TH-000002.yaml cannot be read and is left out" in done.stderr
    assert Page(tmp_path / "pages" / "casks" / "TH-000" / "TH-000002.html").says("Its file cannot be read")


@pytest.mark.thorough
def test_of_casks_that_were_named_alone_there_are_pages(tmp_path: Path) -> None:
    files = {f"TH_00000{n}": cask(RECEIVED, cask_id=f"TH-00000{n}") for n in (1, 2)}
    done = caskbook("book", str(tmp_path / "pages"), "TH-000002", "--records", str(small_book(tmp_path / "book", **files)))
    assert done.returncode == 0 and [path.stem for path in (tmp_path / "pages").rglob("TH-*.html")] == ["TH-000002"], done.stderr


@pytest.mark.thorough
def test_a_cask_with_donors_does_not_have_the_whole_book_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    casks, read = 60, list[str]()
    book = make_demo(tmp_path / "book", casks, 5)

    def noted(folder: Folder, name: str, of: Callable[[Folder, str], bytes | None] = Folder.read) -> bytes | None:
        read.append(name)
        return of(folder, name)

    monkeypatch.setattr(Folder, "read", noted)

    def reads(folder: Path) -> int:
        read.clear()
        done = caskbook("book", str(folder), "--records", str(book), "--as-of", "2026-06-30")
        assert done.returncode == 0, done.stderr
        return len(read)

    first, few = reads(tmp_path / "first"), reads(tmp_path / "again")
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    many = reads(tmp_path / "without")
    assert few <= first < many and few < 7 * casks < many, (few, first, many)
    for page in (tmp_path / "without").rglob("*.*"):
        assert page.read_bytes() == (tmp_path / "again" / page.relative_to(tmp_path / "without")).read_bytes(), page


def test_an_empty_book_is_sensible_pages(tmp_path: Path) -> None:
    root = small_book(tmp_path / "book")
    done = caskbook("book", str(tmp_path / "pages"), "--records", str(root))
    assert done.returncode == 0, done.stderr
    assert Page(tmp_path / "pages" / "due.html").says("nothing due on 0 casks")


def test_a_folder_with_anything_else_in_it_is_never_taken_away(tmp_path: Path) -> None:
    folder = tmp_path / "pages"
    assert put_folder(folder, [("a/b.html", b"1")]) == 1
    assert put_folder(folder, [("c.html", b"2")]) == 1
    assert sorted(path.name for path in folder.rglob("*") if path.is_file()) == ["c.html", MADE]
    (folder / "photo.jpg").write_bytes(b"3")
    for change, says in ((lambda: None, r"holds what was not made here \(photo.jpg\)"), ((folder / MADE).unlink, "holds other things than an offline book")):
        change()
        with pytest.raises(CaskbookError, match=says):
            check_folder(folder)
    assert (folder / "photo.jpg").read_bytes() == b"3"
    (tmp_path / "link").symlink_to(folder)
    with pytest.raises(CaskbookError, match="is a link"):
        check_folder(tmp_path / "link")


@pytest.mark.parametrize("stop", [KeyboardInterrupt, CaskbookError("a worker was lost"), OSError(28, "No space left on device")])
def test_whatever_ends_it_leaves_the_old_folder_as_it_was(tmp_path: Path, stop: BaseException) -> None:
    folder = tmp_path / "pages"
    put_folder(folder, [("a.html", b"old")])

    def files() -> Iterator[tuple[str, bytes]]:
        yield "b.html", b"new"
        raise stop

    with pytest.raises((KeyboardInterrupt, CaskbookError)):
        put_folder(folder, files())
    assert (folder / "a.html").read_bytes() == b"old" and [path.name for path in tmp_path.iterdir()] == ["pages"]


def test_a_bad_day_or_a_wrong_filter_writes_nothing(tmp_path: Path) -> None:
    for words in (("--as-of", "2026-13-01"), ("--type", "bucket"), ("--at", "no-such-revision")):
        done = caskbook("book", str(tmp_path / "pages"), *words)
        assert done.returncode == 2 and done.stderr and not (tmp_path / "pages").exists()


CHROMIUM = next((path for name in ("chromium", "chromium-browser", "google-chrome") if (path := shutil.which(name))), None)


@pytest.mark.thorough
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")
def test_a_real_browser_searches_and_prints_the_pages(pages: Path, tmp_path: Path) -> None:
    quiet = ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", f"--user-data-dir={tmp_path / 'profile'}")

    def browse(*words: str) -> str:
        return subprocess.run([CHROMIUM or "", *quiet, *words], capture_output=True, text=True, timeout=120, check=True).stdout

    found = browse("--dump-dom", f"{(pages / 'index.html').as_uri()}#butt%20W1/10")
    butts = [one["cask"] for one in data("list", "--type", "butt") if (one["berth"] or "").startswith("W1/10")]
    assert f">{len(butts)} of {len(data('list'))} casks<" in found
    assert set(re.findall(r'href="casks/TH-\d+/(TH-\d+)\.html"', found)) == set(butts)
    browse(f"--print-to-pdf={tmp_path / 'page.pdf'}", (pages / "casks/TH-004/TH-004402.html").as_uri())
    with closing(PdfDocument(tmp_path / "page.pdf")) as printed:
        assert len(printed) == 1
        assert "TH-004402" in printed[0].get_textpage().get_text_bounded() and "head A, from outside" in printed[0].get_textpage().get_text_bounded()
