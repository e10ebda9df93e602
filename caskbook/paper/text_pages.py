"""A text as pages: every line as it stands on a screen, in letters that are all as wide, as PDF, SVG or HTML."""

from __future__ import annotations

import io
import re
from html import escape

from rich.cells import cell_len

from caskbook.core.extra import library
from caskbook.paper.imprint import Imprint
from caskbook.paper.pictures import MAKER
from caskbook.render.console import safe, to_ascii

_POINTS = 72 / 25.4
_EDGE, _SIZE, _WIDE, _LEADING = 15.0, 3.5, 0.6, 1.22
"""Of an A4 page, and of Courier: its letters are 0.6 of their size wide (PDF's standard 14 fonts)."""
_SHORT, _LONG = 210.0, 297.0
_FOOT, _FOOT_UP = 2.6, 5.5
"""mm: the letters of the foot, and what its last line stands above the lower end of the page."""
_FOOT_ROOM = _EDGE - _FOOT_UP - 1.0
"""mm: what the foot may take below the edge; of a longer one the rest is taken from the text."""
_RUN = re.compile(r"\S+(?: \S+)*")
"""Words with one blank between them."""


def text_pdf(text: str, title: str, imprint: Imprint) -> bytes:
    """A4 pages, upright; on their side where lines are longer than an upright page takes, and smaller where they are longer than that, each with its
    foot. Signs that the letters of PDF lack are written in ASCII. CaskbookError where the library is not installed."""
    lines = to_ascii(text).rstrip("\n").split("\n")
    longest = max(len(line) for line in lines)
    wide, tall = (_SHORT, _LONG) if longest * _WIDE * _SIZE <= _SHORT - 2 * _EDGE else (_LONG, _SHORT)
    size = min(_SIZE, (wide - 2 * _EDGE) / (max(longest, 1) * _WIDE))
    wide_foot = int((wide - 2 * _EDGE) / (_FOOT * _WIDE))
    foot = len(imprint.lines(9999, 9999, wide_foot)) * _FOOT * _LEADING
    rows = max(int((tall - 2 * _EDGE - max(foot - _FOOT_ROOM, 0)) / (size * _LEADING)), 1)
    starts = range(0, len(lines), rows)
    sink = io.BytesIO()
    canvas = library("reportlab.pdfgen.canvas").Canvas(sink, pagesize=(wide * _POINTS, tall * _POINTS), invariant=1, pageCompression=1)
    canvas.setCreator(MAKER)
    canvas.setTitle(title)
    for page, start in enumerate(starts, 1):
        canvas.setFont("Courier", size * _POINTS)
        for n, line in enumerate(lines[start : start + rows], 1):
            canvas.drawString(_EDGE * _POINTS, (tall - _EDGE - n * size * _LEADING) * _POINTS, line)
        canvas.setFont("Courier", _FOOT * _POINTS)
        told = imprint.lines(page, len(starts), wide_foot)
        for n, line in enumerate(told, 1):
            canvas.drawString(_EDGE * _POINTS, (_FOOT_UP + (len(told) - n) * _FOOT * _LEADING) * _POINTS, to_ascii(line))
        canvas.showPage()
    canvas.save()
    return sink.getvalue()


def text_svg(text: str, title: str) -> bytes:
    """One picture with a text for each run of words of a line, squeezed to its cells with whatever letters a machine has. What stands in columns has a text of
    its own in each, for programs differ in whether they keep several blanks."""
    lines = safe_lines(text)
    size, cell = 14.0, 8.4
    wide, tall = max((cell_len(line) for line in lines), default=0) * cell + 2 * size, len(lines) * size * _LEADING + 2 * size
    drawn = [f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}" height="{tall:g}" viewBox="0 0 {wide:g} {tall:g}">', f"<!-- {MAKER} -->"]
    drawn += [f"<title>{escape(title)}</title>", f'<rect width="{wide:g}" height="{tall:g}" fill="white"/>']
    drawn.append(f'<g font-family="\'DejaVu Sans Mono\', Menlo, Consolas, monospace" font-size="{size:g}">')
    for n, line in enumerate(lines, 1):
        for run in _RUN.finditer(line):
            at, told = cell_len(line[: run.start()]), run[0]
            fit = f'textLength="{cell_len(told) * cell:g}" lengthAdjust="spacingAndGlyphs"'
            drawn.append(f'<text x="{size + at * cell:g}" y="{n * size * _LEADING + size / 2:g}" {fit}>{escape(told)}</text>')
    return "\n".join([*drawn, "</g>", "</svg>", ""]).encode()


def text_html(text: str, title: str, imprint: Imprint) -> bytes:
    """A page with the text as it stands, in letters that are all as wide, and below it whose it is and by what command it was made. Printed, each sheet
    has that at its foot with its number (margin boxes of CSS paged media, which not all browsers draw: so it stands on the page too)."""
    body = escape("\n".join(safe_lines(text)))
    told, command = imprint.said, safe(imprint.command)
    boxes = f"@bottom-left{{content:{_css(told)} '\\a ' {_css(command)};white-space:pre-wrap;width:75%}}"
    boxes += "@bottom-right{content:'page ' counter(page) ' of ' counter(pages);width:25%}"
    mono = "'DejaVu Sans Mono',Menlo,Consolas,monospace"
    style = f"body{{margin:1rem}}pre{{font:14px/1.22 {mono}}}footer{{font:12px/1.4 {mono};white-space:pre-wrap;border-top:1px solid;padding-top:.3rem}}"
    style += f"@page{{size:A4;margin:12mm 12mm 20mm;font:7pt/1.3 {mono};{boxes}}}@media print{{pre{{font-size:8.5pt}}footer{{font-size:7pt}}}}"
    head = f'<meta charset="utf-8">\n<meta name="generator" content="{MAKER}">\n<title>{escape(title)}</title>\n<style>{style}</style>'
    foot = f"<footer>{escape(told)}\n{escape(command)}</footer>"
    return f'<!doctype html>\n<html lang="en">\n<head>\n{head}\n</head>\n<body>\n<pre>{body}\n</pre>\n{foot}\n</body>\n</html>\n'.encode()


def _css(text: str) -> str:
    """A text as a string of CSS: whatever is no plain letter, figure or blank as its number, so that nothing ends the string or the sheet of style."""
    return "'" + "".join(sign if sign.isalnum() or sign == " " else f"\\{ord(sign):x} " for sign in text) + "'"


def safe_lines(text: str) -> list[str]:
    """The lines of a text with nothing in them that could steer a screen or turn a line."""
    return [safe(line).rstrip() for line in text.rstrip("\n").split("\n")]
