"""Lines, columns and offsets of a file's text, whatever its bytes."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from caskbook.core.finding import Span
from caskbook.yaml.source import Source


def of(text: str | bytes) -> Source:
    return Source.from_bytes("TH-000001.yaml", text.encode() if isinstance(text, str) else text)


def test_lines_are_counted_from_one_and_lose_their_newline():
    source = of("a: 1\r\nb: 2\r\n\r\nc")
    assert [source.line(k) for k in range(6)] == ["", "a: 1", "b: 2", "", "c", ""]
    assert source.line_count == 4 and source.newline == "\r\n" and not source.ends_in_newline


def test_an_empty_file_has_no_line():
    assert of("").line_count == 0 and of("").span(0, 0) == Span(1, 1, 1, 1)


def test_columns_count_characters_and_not_bytes():
    assert of("é: ü\nb: 2\n").span(3, 4) == Span(1, 4, 1, 5)


def test_a_byte_that_is_no_text_is_one_character():
    source = of(b"a: \xe9\xe8\nb: 2\n")
    assert source.bad_bytes == ((3, 0xE9), (4, 0xE8)) and source.position(6) == (2, 1)


@given(st.text(alphabet="ab\r\n\x85\u2028é", max_size=40))
def test_offsets_and_places_are_two_ways_of_saying_the_same(text):
    source = of(text)
    whole, rest = text.count("\n"), text.rsplit("\n", 1)[-1]
    assert source.line_count == whole + bool(rest)
    for offset in range(len(text)):
        assert source.offset(*source.position(offset)) == offset


@given(st.binary(max_size=60))
def test_any_bytes_make_a_source(data):
    source = of(data)
    assert len(source.text.encode("utf-8")) >= 0 and source.data == data
