"""How text is produced: harmless, cut by cells, plain in a pipe."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from caskbook.render.console import Output, cut, ends_apart, flow, output_for, pad, produce, safe, to_ascii
from caskbook.render.styled import Span, Styled

WORDS = st.text(max_size=60) | st.text(alphabet="ab é日\u0301\u202e\x1b[] ·…", max_size=60)


@pytest.mark.parametrize(
    ("environ", "terminal", "encoding", "output"),
    [
        ({}, True, "utf-8", Output(120, True, False)),
        ({"NO_COLOR": "1"}, True, "utf-8", Output(120, False, False)),
        ({"NO_COLOR": ""}, True, "utf-8", Output(120, True, False)),
        ({"TERM": "dumb"}, True, "utf-8", Output(120, False, False)),
        ({"COLUMNS": "66"}, True, "utf-8", Output(66, True, False)),
        ({"COLUMNS": "-5"}, True, "utf-8", Output(120, True, False)),
        ({"COLUMNS": "3"}, True, "utf-8", Output(40, True, False)),
        ({"COLUMNS": "66"}, False, "utf-8", Output(None, False, False)),
        ({}, False, "ascii", Output(None, False, True)),
        ({}, False, "latin-1", Output(None, False, True)),
        ({}, False, "no-such-encoding", Output(None, False, True)),
        ({}, False, None, Output(None, False, True)),
    ],
)
def test_what_the_other_end_takes(environ: dict[str, str], terminal: bool, encoding: str | None, output: Output) -> None:
    assert output_for(environ, terminal=terminal, columns=120, encoding=encoding) == output


def test_styles_only_where_asked() -> None:
    text = Styled("void [red]x[/red] :smile:", [Span(0, 4, "strike")])
    assert produce(text, Output()) == "void [red]x[/red] :smile:"
    assert produce(text, Output(styled=True)) == "\x1b[9mvoid\x1b[0m [red]x[/red] :smile:"
    assert produce(Styled("×" + "long " * 60), Output(styled=True, ascii=True)) == "x" + "long " * 60


@given(WORDS)
def test_safe_leaves_nothing_that_steers(text: str) -> None:
    once = safe(text)
    assert once.isprintable()
    assert safe(once) == once


@pytest.mark.parametrize("sign", ["\x1b", "\x07", "\r", "\n", "\t", "\x9b", "\u202e", "\u2066", "\u200b", "\u2028", "\ufeff", "\ue000", "\ud800"])
def test_unseen_signs_are_shown_by_number(sign: str) -> None:
    assert safe(f"a{sign}b") == f"a\\x{ord(sign):02x}b" if ord(sign) < 256 else f"a\\u{ord(sign):04x}b"


@given(WORDS, st.integers(0, 30))
def test_cut_and_pad_keep_to_the_width(text: str, width: int) -> None:
    assert cell_len(cut(text, width)) <= width
    assert cell_len(pad(text, width)) == width


def test_cut_between_words_and_never_in_a_figure() -> None:
    assert cut("196.2 L at 63.4 %, malt", 15) == "196.2 L at…"
    assert cut("short", 16) == "short"
    assert cut("x" * 30, 16) == "x" * 15 + "…"


@given(st.lists(WORDS, max_size=6), st.integers(4, 40))
def test_flow_keeps_to_the_width(parts: list[str], width: int) -> None:
    lines = flow(parts, width)
    assert lines and all(cell_len(line) <= width for line in lines)


@given(st.lists(st.text(alphabet="abc ", min_size=1, max_size=12).filter(lambda text: text == text.strip()), min_size=1, max_size=8))
def test_flow_loses_no_word(parts: list[str]) -> None:
    lines = flow(parts, 14)
    assert " ".join(lines).replace("·", "").split() == " ".join(parts).split()


def test_flow_cuts_what_is_too_long() -> None:
    assert len(flow(["word " * 100], 20)) == 3


def test_both_ends() -> None:
    assert ends_apart("TH-1", "FILLED", 20) == "TH-1          FILLED"
    assert cell_len(ends_apart("日本" * 20, "FILLED", 30)) == 30


@given(WORDS)
def test_ascii_takes_as_many_cells(text: str) -> None:
    plain = to_ascii(safe(text))
    assert plain.isascii()
    assert len(plain) >= cell_len(safe(text)) - 1 or "\u0301" in text


def test_ascii_keeps_what_can_be_read() -> None:
    assert to_ascii("café · 1 ▒▶ 日") == "cafe - 1 #> ??"
