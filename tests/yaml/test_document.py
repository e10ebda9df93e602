"""A cask file as read, and the lines that belong to each event."""

from __future__ import annotations

from caskbook.core.finding import Span
from caskbook.yaml.document import read_document
from caskbook.yaml.source import Source

TEXT = """\
cask: TH-000001
events:

  # came in wet
  - id: dsy3jphz
    date: 2015-03-12
    # seen by the carter
  # two hours late

  - id: dsy3jpj0
    date: 2015-03-13
  # the end
"""


def of(text: str):
    return read_document(Source.from_bytes("TH-000001.yaml", text.encode()))


def test_a_comment_belongs_to_the_event_below_it():
    document = of(TEXT)
    assert document.event_count == 2
    assert document.event_lines(0) == (4, 7), "with the comment above, and the deeper one straight below"
    assert document.event_lines(1) == (8, 11), "the last comment is the file's tail"
    assert document.span(("events", 1, "id")) == Span(10, 9, 10, 17)


def test_every_line_between_the_first_and_the_last_event_is_owned_at_most_once():
    document = of(TEXT)
    owned = [line for k in range(2) for line in range(document.event_lines(k)[0], document.event_lines(k)[1] + 1)]
    assert len(owned) == len(set(owned))


def test_a_list_in_brackets():
    document = of("cask: TH-000001\nevents: [{id: a},\n  {id: b}]\n")
    assert document.event_lines(0) == (2, 2) and document.event_lines(1) == (3, 3)


def test_a_refused_file_has_no_data_but_findings():
    document = of("- x\n")
    assert document.data is None and document.event_count == 0 and document.findings[0].code == "not-a-mapping"
