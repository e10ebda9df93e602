"""Places of plainly written files; that all of them are those of the slow reader is tested beside the values."""

from __future__ import annotations

import pytest
from ugly import GOOD

from caskbook.yaml.document import read_document
from caskbook.yaml.fast_places import read_places
from caskbook.yaml.source import Source


def shown(path: tuple[str | int, ...], key: bool = False) -> str:
    source = Source.from_bytes("x.yaml", GOOD.encode())
    span = read_places(source).span(path, key)
    return source.text[source.offset(span.line, span.column) : source.offset(span.end_line, span.end_column)]


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (("cask",), "TH-004217"),
        (("capacity_l",), "200"),
        (("heads", 1), "5"),
        (("was", 1), "'old one'"),
        (("prior", 0, "emptied"), "2015-01"),
        (("events", 0, "date"), "2015-03-12"),
        (("events", 0, "findings", 0), "{at: stave-14, defect: crack, severity: 1}"),
        (("events", 0, "findings", 1, "defect"), "wormhole"),
        (("events", 1, "note"), "'held 5 minutes: tight'"),
    ],
)
def test_a_value_is_found(path: tuple[str | int, ...], text: str) -> None:
    assert shown(path) == text


def test_a_key_is_found_and_what_is_missing_points_at_its_event() -> None:
    assert shown(("events", 1, "psi"), key=True) == "psi"
    assert shown(("events", 1, "absent")) == "id: dt3q62s1"


def test_an_event_owns_the_same_lines_either_way() -> None:
    source = Source.from_bytes("x.yaml", GOOD.encode())
    fast, slow = read_document(source), read_document(source, fast=False)
    assert [fast.event_lines(n) for n in (0, 1)] == [slow.event_lines(n) for n in (0, 1)] == [(18, 27), (28, 35)]


def test_a_doubtful_file_is_read_slowly() -> None:
    reading = read_places(Source.from_bytes("x.yaml", b"a: no\n"))
    assert [found.code for found in reading.findings] == ["ambiguous-word"]
