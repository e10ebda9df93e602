"""`--save FILE`: each report, card and list as a text on a page, or as data, held against what the command prints."""

from __future__ import annotations

import html
import inspect
import json
import re
import xml.etree.ElementTree as ET
from contextlib import closing
from pathlib import Path

import pytest
from commands import caskbook
from pypdfium2 import PdfDocument
from shipped import shipped_book as shipped_book

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


def test_a_pdf_has_every_line_in_its_order() -> None:
    many = "\n".join([*LINES, *(f"line {n}" for n in range(150))])
    with closing(PdfDocument(text_pdf(many, "title"))) as printed_pages:
        assert len(printed_pages) > 1
        found = [line.rstrip() for page in printed_pages for line in page.get_textpage().get_text_bounded().splitlines()]
    assert [line.split() for line in found if line.strip()] == [line.split() for line in to_ascii(many).split("\n") if line.strip()]


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
    page = text_html("</pre><script>1</script>\x1b[31m\u202e", "t").decode()
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


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "cut", "name"), [(("due",), " more: add --top ", "due"), (("plan",), "more: --route", "plan"), (("ready",), "more: --all", "ready")]
)
def test_what_is_saved_is_not_cut_to_a_screen(tmp_path: Path, words: tuple[str, ...], cut: str, name: str) -> None:
    root = tmp_path / "book"
    assert caskbook("demo", str(root), "--casks", "900", "--seed", "5", "--until", "2026-06-30").returncode == 0
    at = ("--records", str(root), "--as-of", "2026-06-30")
    shown = caskbook(*words, *at)
    assert caskbook(*words, *at, "--save", str(tmp_path / "a.txt")).returncode == shown.returncode == 0
    saved = (tmp_path / "a.txt").read_text(encoding="utf-8")
    assert cut in shown.stdout and len(saved.splitlines()) > len(shown.stdout.splitlines())
    casks = {row["cask"] for row in json.loads(caskbook("due", *at, "--format", "json").stdout)} if name == "due" else set()
    assert cut not in saved and casks <= set(re.findall(r"[A-Z]{2}-\d{6}", saved))
