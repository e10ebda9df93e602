"""How text is produced: harmless whatever a file says, cut and laid out by terminal cells, plain, coloured or ASCII."""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from rich.cells import cell_len, chop_cells

from caskbook.render.styled import Styled

USUAL_WIDTH = 80
# On a wider screen what belongs together would stand too far apart.
MOST_WIDTH = 100
_LEAST_WIDTH = 40
_MARKS_ON_A_LETTER = 3
_STEERING = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
_OUR_SIGNS = "·…×▒│▶"
_ASCII_SIGNS = str.maketrans(
    {"·": "-", "…": "~", "×": "x", "▒": "#", "│": "|", "▶": ">", "–": "-", "—": "-", "→": ">", "‘": "'", "’": "'", "●": "o", "░": ".", "▲": "^", "┤": "|", "┴": "+", "━": "=", "┃": "|", "└": "+", "─": "-", "“": '"', "”": '"', "°": " "}
)  # fmt: skip


class Output(NamedTuple):
    """What the reader's end can take. `width` in cells is None where nothing may be cut, as in a pipe."""

    width: int | None = USUAL_WIDTH
    styled: bool = False
    ascii: bool = False


def output_for(environ: Mapping[str, str], *, terminal: bool, columns: int | None = None, encoding: str | None = "utf-8") -> Output:
    """The output for a stream: `terminal` if it is one, `columns` its width as measured, `encoding` its name.

    NO_COLOR (not empty) and TERM=dumb turn styles off; COLUMNS overrules the measured width; a pipe is neither cut nor styled.
    """
    asked = environ.get("COLUMNS", "")
    measured = int(asked) if asked.isdecimal() and asked.isascii() and len(asked) < 6 else columns or USUAL_WIDTH
    styled = terminal and not environ.get("NO_COLOR") and environ.get("TERM") != "dumb"
    return Output(max(measured, _LEAST_WIDTH) if terminal else None, styled, not _can_write(_OUR_SIGNS, encoding))


def width() -> int:
    """Cells across standard output as it is now, 80 where nobody knows; COLUMNS overrules. Asked by commands, never by renderers."""
    from shutil import get_terminal_size  # This loads what packs files, and few commands ask for it.

    return max(get_terminal_size((USUAL_WIDTH, 24)).columns, _LEAST_WIDTH)


def _can_write(signs: str, encoding: str | None) -> bool:
    try:
        signs.encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def produce(text: Styled | str, output: Output) -> str:
    """The text as the reader's end wants it: with style codes, plain, or in ASCII. Never wrapped, markup never read."""
    if not output.styled:
        plain = text if isinstance(text, str) else text.plain
        return to_ascii(plain) if output.ascii else plain
    return _styled(text, output)


def _styled(text: Styled | str, output: Output) -> str:
    from rich.console import Console  # It is slow to load, and not needed in a pipe.
    from rich.text import Span, Text

    styled = Text(text) if isinstance(text, str) else Text(text.plain, spans=[Span(*span) for span in text.spans])
    if output.ascii:
        styled = Text(to_ascii(styled.plain), spans=styled.spans) if _same_length(styled.plain) else Text(to_ascii(styled.plain))
    sink = io.StringIO()
    console = Console(file=sink, force_terminal=True, color_system="standard", legacy_windows=False, width=USUAL_WIDTH, _environ={})
    console.print(styled, soft_wrap=True, end="", highlight=False, markup=False, emoji=False)
    return sink.getvalue()


def _same_length(text: str) -> bool:
    return len(to_ascii(text)) == len(text)


def to_ascii(text: str) -> str:
    """ASCII that takes as many cells: our signs by their likes, accents dropped, anything else as question marks."""
    if text.isascii():
        return text
    return "".join(sign if sign.isascii() else _ascii_sign(sign) for sign in text.translate(_ASCII_SIGNS))


def _ascii_sign(sign: str) -> str:
    base = "".join(part for part in unicodedata.normalize("NFKD", sign) if part.isascii())
    cells = cell_len(sign)
    return base if base and len(base) == cells else "?" * cells


def safe(text: str) -> str:
    r"""The text with nothing that could steer a terminal or turn the line: control signs, escapes, bidi overrides and
    other unseen signs are shown as \x1b, \u202e; a letter keeps at most three combining marks. Applying it twice changes nothing.
    """
    if text.isascii() and text.isprintable():
        return text
    out: list[str] = []
    marks = 0
    for sign in text:
        category = unicodedata.category(sign)
        marks = marks + 1 if category in ("Mn", "Me") else 0
        if marks > _MARKS_ON_A_LETTER or category in _STEERING:
            out.append("" if marks else _escaped(sign))
        elif category == "Zs":
            out.append(" ")
        else:
            out.append(sign)
    return "".join(out)


def _escaped(sign: str) -> str:
    code = ord(sign)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def cut(text: str, width: int | None) -> str:
    """At most `width` cells, ended by … where something was left off; cut between words unless that costs more than half."""
    text = safe(text)
    if width is None or cell_len(text) <= width:
        return text
    if width < 2:
        return "…"[:width]
    kept = chop_cells(text[: width * 5], width - 1)[0]
    whole = kept if text[len(kept)] == " " else kept.rpartition(" ")[0]
    if cell_len(whole) * 2 >= width:
        kept = whole
    return kept.rstrip(" ,:;·(") + "…"


def pad(text: str, width: int) -> str:
    """Filled up with blanks to `width` cells, cut if longer."""
    text = cut(text, width)
    return text + " " * (width - cell_len(text))


def ends_apart(left: str, right: str, width: int) -> str:
    """`left` at the left edge, `right` at the right one, of `width` cells; the left is cut to leave two blanks between."""
    right = safe(right)
    left = cut(left, max(2, width - cell_len(right) - 2))
    return left + " " * max(2, width - cell_len(left) - cell_len(right)) + right


def flow(parts: Iterable[str], width: int | None, *, between: str = " · ", most_lines: int = 3) -> list[str]:
    """The parts in lines of at most `width` cells, broken between parts where that serves, else between words.

    One part takes at most `most_lines` lines and is cut there; without a width all is one line.
    """
    if width is None:
        return [between.join(safe(part) for part in parts)]
    lines: list[str] = []
    current = ""
    for part in parts:
        joined = current + between + safe(part) if current else safe(part)
        if cell_len(joined) <= width:
            current = joined
            continue
        if current:
            lines.append(current)
        *full, current = folded(part, width, most_lines)
        lines += full
    return [*lines, current] if current or not lines else lines


def folded(text: str, width: int, most_lines: int) -> list[str]:
    """One text over lines of `width` cells, broken between words; what needs more than `most_lines` is cut in the last."""
    rest = safe(text)
    lines: list[str] = []
    while len(lines) < most_lines - 1 and cell_len(rest) > width:
        kept = chop_cells(rest[: width * 5], width)[0]
        if rest[len(kept)] != " ":
            kept = kept.rpartition(" ")[0] or kept
        lines.append(kept.rstrip())
        rest = rest[len(kept) :].lstrip()
    return [*lines, cut(rest, width)]
