"""The due list as a calendar and as Markdown, read back by other programs' readers."""

from __future__ import annotations

import html
import json
import re
import subprocess
import sys
from datetime import date, timedelta
from html.parser import HTMLParser
from pathlib import Path

import icalendar
import pytest
from commands import caskbook
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from shipped import shipped_book as shipped_book

from caskbook.core.extra import library
from caskbook.core.finding import CaskbookError
from caskbook.due.verdict import Verdict
from caskbook.render.console import safe
from caskbook.render.due_calendar import MOST_NAMED, calendar_ics, calendar_of, summary_of
from caskbook.render.due_markdown import due_markdown, marked

ROOT = Path(__file__).parent.parent.parent
DAY = date(2026, 11, 29)


def due(*words: str, form: str = "json") -> str:
    done = caskbook("due", *words, "--format", form, "--as-of", DAY.isoformat())
    assert done.returncode == 0, done.stderr
    return done.stdout


def verdict(cask: str = "TH-1", rule: str = "examine", word: str = "due", since: date | None = DAY, reason: str = "because") -> Verdict:
    return Verdict(cask, "barrel", "W1/1", rule, word, since, False, (reason,), None, None)  # type: ignore[arg-type]


def test_a_calendar_holds_each_verdict_that_has_a_day_on_that_day() -> None:
    text = due("--soon", form="ics")
    wanted: dict[tuple[date, str], list[str]] = {}
    for one in json.loads(due("--soon")):
        day = DAY if one["verdict"] in ("due", "blocked") else date.fromisoformat(one["since"]) if one["verdict"] == "soon" and one["since"] else None
        if day:
            wanted.setdefault((day, one["rule"]), []).append(one["cask"])
    assert len(wanted) >= 6 and {len(casks) for casks in wanted.values()} > {1}
    found = {}
    for event in icalendar.Calendar.from_ical(text).walk("VEVENT"):
        start, end = event.decoded("dtstart"), event.decoded("dtend")
        assert end - start == timedelta(days=1) and str(event["transp"]) == "TRANSPARENT"
        casks = [line.split(" · ")[0] for line in str(event["description"]).split("\n") if not line.startswith("  ")]
        found[start, str(event["summary"]).partition(":")[0]] = casks
    assert found == wanted


def test_the_text_is_as_rfc_5545_has_it() -> None:
    words = ("due", "--soon", "--format", "ics", "--as-of", DAY.isoformat())
    done = subprocess.run([str(Path(sys.executable).parent / "caskbook"), *words], capture_output=True, check=True)
    lines = done.stdout.split(b"\r\n")
    assert lines[0] == b"BEGIN:VCALENDAR" and lines[-2:] == [b"END:VCALENDAR", b""]
    assert not any(b"\n" in line for line in lines) and max(map(len, lines)) <= 75
    uids = re.findall(rb"UID:(.*)\r\n", done.stdout)
    assert len(uids) == len(set(uids))
    assert b"7 verdicts without a day left out of the calendar: 1 soon, 6 at-emptying" in done.stderr


def test_an_entry_names_so_many_casks_and_counts_the_others() -> None:
    many = [verdict(f"TH-{n}", word="blocked" if n < 3 else "due") for n in range(MOST_NAMED + 2)]
    entry = calendar_of(many, DAY).entries[0]
    assert summary_of(entry) == f"examine: {MOST_NAMED + 2} casks, 3 blocked"
    assert f"TH-{MOST_NAMED - 1} " in str(icalendar.Calendar.from_ical(calendar_ics([entry], DAY, None, "")).walk("VEVENT")[0]["description"])
    told = str(icalendar.Calendar.from_ical(calendar_ics([entry], DAY, None, "")).walk("VEVENT")[0]["description"])
    assert f"TH-{MOST_NAMED} " not in told and told.endswith("… 2 more: caskbook due examine")


def test_two_houses_have_no_entry_in_common() -> None:
    entries = calendar_of([verdict()], DAY).entries
    uids = {re.findall("UID:(.*)\r\n", calendar_ics(entries, DAY, house, ""))[0] for house in ("A b", "A-b", "A%20b", None)}
    assert len(uids) == 4


def test_the_name_of_a_calendar_is_a_text_as_any_other() -> None:
    """RFC 5545, 3.3.11: in a text a comma, a semicolon and a backslash stand behind a backslash; 3.8.8.2: a property of one's own is a text."""
    text = calendar_ics([], DAY, "Oak; Ash, \\ Elm", "1 due, 0 blocked; all")
    assert "X-WR-CALNAME:Oak\\; Ash\\, \\\\ Elm: due\r\n" in text and "X-WR-CALDESC:1 due\\, 0 blocked\\; all\r\n" in text


@given(st.text(max_size=60))
def test_no_reason_adds_a_line_of_its_own_to_a_calendar(reason: str) -> None:
    text = calendar_ics(calendar_of([verdict(reason=reason)], DAY).entries, DAY, "House", "head")
    (event,) = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert set(event.keys()) == {"UID", "DTSTAMP", "DTSTART", "DTEND", "TRANSP", "SUMMARY", "DESCRIPTION"}
    assert text.count("BEGIN:") == 2 and len(str(event["description"]).split("\n")) == 2


def test_a_lacking_library_is_said_with_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "icalendar", None)
    library.cache_clear()
    with pytest.raises(CaskbookError, match=r"icalendar is not installed, and a calendar needs it: pip install 'caskbook\[calendar\]'"):
        calendar_ics([], DAY, None, "")
    library.cache_clear()


class _Cells(HTMLParser):
    """The cells of all tables, row by row."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.rows: list[list[str]] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if tag == "tr":
            self.rows.append([])
        elif tag in ("td", "th"):
            self.rows[-1].append("")
        else:
            assert tag in ("p", "table", "thead", "tbody", "ul", "li", "strong")

    def handle_data(self, data: str) -> None:
        if self.rows and self.rows[-1]:
            self.rows[-1][-1] += data


def cells(text: str) -> list[list[str]]:
    reader = _Cells()
    reader.feed(MarkdownIt("commonmark", {"html": True}).enable("table").render(text))
    return [[cell.strip() for cell in row] for row in reader.rows]


def test_markdown_holds_what_json_holds() -> None:
    head, *rows = cells(due(form="markdown"))
    assert head == ["cask", "type", "berth", "what", "since", "why"]
    found = [[row[0], row[1], row[2], row[4].removeprefix("since "), row[5]] for row in rows]
    wanted = json.loads(due())
    assert found == [[one["cask"], one["type"], one["berth"] or "", one["since"] or "", "; ".join(one["reasons"])] for one in wanted]
    assert ["blocked" in row[3] for row in rows] == [one["verdict"] == "blocked" for one in wanted]


def test_markdown_cask_by_cask_counts_at_its_foot_what_waits_for_every_emptying() -> None:
    text = due("--by-cask", "--soon", form="markdown")
    casks = {one["cask"] for one in json.loads(due("--soon")) if (one["verdict"], one["rule"]) != ("at-emptying", "examine")}
    assert set(re.findall(r"^- \*\*(.*)\*\*", text, re.MULTILINE)) == casks
    assert text.endswith("\n\n45 more are examined whenever they are emptied: caskbook due examine --soon\n")
    assert due("--by-cask", "--top", "2", form="markdown").count("\n- **") == 2


@example("a|b `c` *d* <b> [e](f) &amp; ~~g~~ http://h")
@given(st.text(st.characters(blacklist_categories=["C", "Z"]), min_size=1, max_size=40))
def test_no_text_means_anything_to_markdown(text: str) -> None:
    told = html.unescape(re.sub("<[^>]*>", "", MarkdownIt("commonmark", {"html": True}).enable("table").renderInline(f"a {marked(text)} b")))
    assert MarkdownIt("commonmark", {"html": True}).renderInline(f"a {marked(text)} b").count("<") == 0
    assert told.startswith("a ") and told.endswith(" b")
    (_, row) = cells(due_markdown([verdict(reason=f"x{text}x")], "head", [], show_verdict=False))
    assert row[5] == f"x{safe(text)}x"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--format", "ics", "--by-cask"), "--by-cask with --format ics: a calendar has one entry for each day and rule; leave --by-cask out"),
        (("--format", "ics", "--sort", "cask"), "--sort with --format ics"),
        (("--format", "markdown", "--set", "due.rechar.due_at=4"), "--format markdown with --set: what turns is told as text, json, jsonl or csv"),
        (("--format", "md"), "--format md: expected text, json, jsonl, csv, markdown or ics"),
    ],
)
def test_what_does_nothing_is_refused(words: tuple[str, ...], says: str) -> None:
    done = caskbook("due", *words)
    assert done.returncode == 2 and says in done.stderr and not done.stdout
