"""`--save FILE`: each report, card and list as a text on a page, or as data, held against what the command prints."""

from __future__ import annotations

import html
import inspect
import json
import re
import xml.etree.ElementTree as ET
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from commands import caskbook
from pypdfium2 import PdfDocument
from shipped import shipped_book as shipped_book

from caskbook.cli import common
from caskbook.paper.imprint import Imprint
from caskbook.paper.text_pages import text_html, text_pdf, text_svg
from caskbook.render.console import to_ascii

ROOT = Path(__file__).parent.parent.parent
DAY = ("--as-of", "2026-11-25")
COMMANDS = (
    ("due",), ("plan",), ("morning",), ("ready", "--want", "4"), ("days", "2026"), ("list",), ("query", "SELECT cask FROM cask"), ("show", "TH-004402"),
    ("report", "stock"), ("report", "loss"), ("report", "service"), ("report", "suppliers"), ("report", "leaks"), ("report", "parts"),
    ("report", "outlook", "--months", "2"), ("report", "retirement"),
)  # fmt: skip
NOT_CSV = {"show"}
WHOLE = {"ready": ("--all",), "plan": ("--route",)}
"""How a screen has all of a list, which a file always has."""


def printed(words: tuple[str, ...], *more: str) -> str:
    done = caskbook(*words, *more, *DAY)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.thorough
@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_a_saved_file_holds_what_is_printed(words: tuple[str, ...], tmp_path: Path) -> None:
    text = printed(words, *WHOLE.get(words[0], ()))
    for ending in (".txt", ".html"):
        assert printed(words, "--save", str(tmp_path / f"page{ending}")) == f"saved {tmp_path / f'page{ending}'}\n"
    assert (tmp_path / "page.txt").read_text(encoding="utf-8") == text
    held = re.search("<pre>(.*)\n</pre>", (tmp_path / "page.html").read_text(encoding="utf-8"), re.DOTALL)
    assert held and html.unescape(held[1]).split("\n") == [line.rstrip() for line in text.rstrip("\n").split("\n")]
    if words[0] not in NOT_CSV:
        printed(words, "--save", str(tmp_path / "rows.csv"))
        assert (tmp_path / "rows.csv").read_bytes().decode() == printed(words, "--format", "csv")
    else:
        done = caskbook(*words, "--save", str(tmp_path / "rows.csv"))
        assert done.returncode == 2 and "rows.csv wants --format csv: expected text" in done.stderr and not (tmp_path / "rows.csv").exists()


LINES = ("due on 2026-11-25 · 29 matters", "", "  1  TH-004402  <hogshead> & more", "▒▒▒ fill 1 ▶", "x" * 130)


FOOT = Imprint("The Old Kiln", "caskbook due", date(2026, 11, 30))


def test_a_pdf_has_every_line_in_its_order_and_each_page_its_foot() -> None:
    """A command of many words takes its lines from the text: nothing of either is left out, and nothing stands on another thing."""
    long = Imprint("The Old Kiln", " ".join(["caskbook due", *(f"TH-{n:06}" for n in range(200))]), date(2026, 11, 30))
    many = "\n".join([*LINES, *(f"line {n}" for n in range(150))])
    counts = []
    for imprint in (FOOT, long):
        with closing(PdfDocument(text_pdf(many, "title", imprint))) as printed_pages:
            pages = [[line.split() for line in page.get_textpage().get_text_bounded().splitlines() if line.strip()] for page in printed_pages]
        body = list[list[str]]()
        for n, lines in enumerate(pages, 1):
            foot = lines.index(f"The Old Kiln - printed 2026-11-30 - page {n} of {len(pages)}".split())
            assert [word for line in lines[foot + 1 :] for word in line] == imprint.command.split()
            body += lines[:foot]
        counts.append(len(pages))
        assert body == [line.split() for line in to_ascii(many).split("\n") if line.strip()]
    assert 1 < counts[0] < counts[1], "a long foot takes its room from the text"


def test_pages_say_whose_they_are_by_what_and_when_they_were_printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The day of printing is the clock's in the house, apart from the day that is judged; what lays its own pages out has the same foot."""
    monkeypatch.setattr(common, "clock", lambda: datetime(2027, 6, 14, 23, 30, tzinfo=UTC))
    house = re.search(r"^name: (.+)$", (ROOT / "records" / "house.yaml").read_text(encoding="utf-8"), re.MULTILINE)
    assert house is not None
    page = tmp_path / "due.html"
    printed(("due",), "--type", "butt", "--save", str(page))
    told, command = f"{house[1]} · printed 2027-06-15", f"caskbook due --type butt --save {page} --as-of 2026-11-25"
    text = page.read_text(encoding="utf-8")  # Of CSS an escape is up to six figures, and one blank after them that is its own.
    assert f"<footer>{told}\n{command}</footer>" in text
    box = re.search(r"@bottom-left\{content:'([^']*)' '\\a ' '([^']*)'", text)
    assert box and [re.sub(r"\\([0-9a-f]{1,6})\s?", lambda one: chr(int(one[1], 16)), part) for part in box.groups()] == [told, command]
    assert "'page ' counter(page) ' of ' counter(pages)" in text
    for words in (("days", "2026"), ("morning", "--pages", "2", "--lines", "4"), ("report", "retirement", "TH-004402", "TH-004404")):
        target = tmp_path / f"{words[0]}.pdf"
        assert caskbook(*words, "--save", str(target), *DAY).returncode == 0
        with closing(PdfDocument(target.read_bytes())) as pages:
            texts = [" ".join(one.get_textpage().get_text_bounded().split()) for one in pages]
        for n, text in enumerate(texts, 1):
            assert f"printed 2027-06-15 {'-' if words[0] == 'days' else '·'} page {n} of {len(texts)} caskbook {' '.join(words)} --save" in text, text


def test_an_svg_is_whole_xml_with_a_text_for_each_column_where_it_stands() -> None:
    """No text has blanks that a program may take for one: what stands in columns begins at its own place."""
    drawn = ET.fromstring(text_svg("\n".join([*LINES, "type    1   22", "  ü  b"]), "a < b"))
    texts = list(drawn.iter("{http://www.w3.org/2000/svg}text"))
    found = [one.text or "" for one in texts]
    assert not [text for text in found if "  " in text or text != text.strip()]
    assert " ".join(found).split() == " ".join([*LINES, "type    1   22", "  ü  b"]).split()
    assert [(one.text, one.get("x")) for one in texts[-5:]] == [
        (word, f"{14 + 8.4 * cell:g}") for word, cell in (("type", 0), ("1", 8), ("22", 12), ("ü", 2), ("b", 5))
    ]


def test_no_text_is_markup_or_steers_a_screen() -> None:
    page = text_html(
        "</pre><script>1</script>\x1b[31m\u202e", "t", Imprint("</style><script>'\x1b", "caskbook due --type 'a;b'</footer><script>", date(2026, 11, 30))
    ).decode()
    assert re.search(r"content:'[^']*' '\\a ' '[^']*';white-space", page), "no sign of a command line ends the string of CSS that it is in"
    assert "<script" not in page and "\x1b" not in page and "\u202e" not in page


def test_a_map_and_a_time_line_are_saved_as_drawings(tmp_path: Path) -> None:
    for option in ("--map", "--line"):
        printed(("show", "TH-004402"), option, "--save", str(tmp_path / "a.svg"))
        drawn = ET.parse(tmp_path / "a.svg").getroot()
        assert {one.tag.rpartition("}")[2] for one in drawn.iter()} >= {"text", "line", "rect" if option == "--line" else "circle"}
    done = caskbook("show", "TH-004402", "--map", "--line", "--save", str(tmp_path / "b.svg"), *DAY)
    assert done.returncode == 2 and "draws one picture" in done.stderr and not (tmp_path / "b.svg").exists()


def test_nothing_is_lost_by_saving(tmp_path: Path) -> None:
    for name in ("mine.csv", "mine.html", "mine.txt"):
        (tmp_path / name).write_text("mine", encoding="utf-8")
        done = caskbook("due", "--save", str(tmp_path / name), *DAY)
        assert done.returncode == 2 and "is there already" in done.stderr and (tmp_path / name).read_text(encoding="utf-8") == "mine"
    for words, says in (
        (("--save", "a.doc"), "expected a file that ends in .txt, .html"), (("--save", "nowhere/a.txt"), "there is no folder"),
        (("--save", str(tmp_path / "a.csv"), "--format", "json"), "the ending says csv"), (("--save", str(tmp_path / "b.txt"), "--type", "bucket"), "bucket"),
    ):  # fmt: skip
        done = caskbook("due", *words, *DAY)
        assert done.returncode == 2 and says in done.stderr, done.stderr
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine.csv", "mine.html", "mine.txt"]


def test_a_page_that_was_saved_is_put_in_place_of_an_older_one_and_the_code_stays(tmp_path: Path) -> None:
    for _ in range(2):
        assert caskbook("due", "--fail-if-any", "--save", str(tmp_path / "due.html"), *DAY).returncode == 1
    assert b"29 matters on 20" in (tmp_path / "due.html").read_bytes()


def test_every_report_can_be_saved() -> None:
    from caskbook.cli.report_group import report

    lacking = [
        command.callback.__name__ for command in report.registered_commands if command.callback and "save" not in inspect.signature(command.callback).parameters
    ]
    assert lacking == [], "give it `save: Save = None` and print through `printed`, as the recipe of a report has it"


@pytest.fixture(scope="module")
def many_casks(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book of more casks than a screen has lines for what is due on them."""
    root = tmp_path_factory.mktemp("many") / "book"
    assert caskbook("demo", str(root), "--casks", "900", "--seed", "5", "--until", "2026-06-30").returncode == 0
    return root


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "cut", "name"), [(("due",), " more: add --top ", "due"), (("plan",), "more: --route", "plan"), (("ready",), "more: --all", "ready")]
)
def test_what_is_saved_is_not_cut_to_a_screen(tmp_path: Path, many_casks: Path, words: tuple[str, ...], cut: str, name: str) -> None:
    at = ("--records", str(many_casks), "--as-of", "2026-06-30")
    shown = caskbook(*words, *at)
    assert caskbook(*words, *at, "--save", str(tmp_path / "a.txt")).returncode == shown.returncode == 0
    saved = (tmp_path / "a.txt").read_text(encoding="utf-8")
    assert cut in shown.stdout and len(saved.splitlines()) > len(shown.stdout.splitlines())
    casks = {row["cask"] for row in json.loads(caskbook("due", *at, "--format", "json").stdout)} if name == "due" else set()
    assert cut not in saved and casks <= set(re.findall(r"[A-Z]{2}-\d{6}", saved))
