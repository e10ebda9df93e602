"""Pages put down as PDF, SVG or PNG. The same pages make the same bytes, and each file says that caskbook made it."""

from __future__ import annotations

import io
from collections.abc import Sequence
from html import escape

from caskbook.core.extra import library
from caskbook.paper.letters import FONTS, font_file, load_letters
from caskbook.paper.shapes import Box, Page, Words

_POINTS = 72 / 25.4
_GREY = 0.55
_FAMILY = "'Bitstream Vera Sans', 'DejaVu Sans', Verdana, sans-serif"
MAKER = "caskbook"
_OURS = {".pdf": (b"%PDF-", b"/Creator (caskbook)"), ".svg": (b"<svg ", b"<!-- caskbook -->"), ".png": (b"\x89PNG", b"Software\0caskbook"),
         ".html": (b"<!doctype html>", b'<meta name="generator" content="caskbook">')}  # fmt: skip
MARKED = tuple(_OURS)
"""Endings of files that say who made them."""


def is_ours(data: bytes, ending: str) -> bool:
    """Whether a file with this ending (as `.pdf`) is one that was made here."""
    start, mark = _OURS[ending]
    return data.startswith(start) and mark in data


def pdf(pages: Sequence[Page], title: str) -> bytes:
    """A PDF of these pages, its letters in it."""
    load_letters()
    sink = io.BytesIO()
    canvas = library("reportlab.pdfgen.canvas").Canvas(sink, invariant=1, pageCompression=1)
    canvas.setCreator(MAKER)
    canvas.setTitle(title)
    for page in pages:
        canvas.setPageSize((page.width * _POINTS, page.height * _POINTS))
        for shape in page.shapes:
            if isinstance(shape, Words):
                canvas.setFont(FONTS[shape.bold], shape.size * _POINTS)
                canvas.drawString(shape.x * _POINTS, (page.height - shape.y) * _POINTS, shape.text)
            else:
                canvas.setLineWidth(shape.edge * _POINTS)
                canvas.setStrokeGray(_GREY if shape.grey else 0)
                place = (shape.x, page.height - shape.y - shape.height, shape.width, shape.height)
                canvas.rect(*(one * _POINTS for one in place), stroke=int(shape.edge > 0), fill=int(not shape.edge))
        canvas.showPage()
    canvas.save()
    return sink.getvalue()


def svg(page: Page, title: str) -> bytes:
    """An SVG of one page. Its text is text, squeezed to the width it was laid out with whatever letters a machine has."""
    size = f'width="{page.width:g}mm" height="{page.height:g}mm" viewBox="0 0 {page.width:g} {page.height:g}"'
    lines = [f'<svg xmlns="http://www.w3.org/2000/svg" {size}>', f"<!-- {MAKER} -->", f"<title>{escape(title)}</title>"]
    lines.append(f'<rect width="{page.width:g}" height="{page.height:g}" fill="white"/>')
    for shape in page.shapes:
        if isinstance(shape, Words):
            if shape.text:
                weight = ' font-weight="bold"' if shape.bold else ""
                fit = f' textLength="{shape.width:.3f}" lengthAdjust="spacingAndGlyphs"'
                place = f'x="{shape.x:.3f}" y="{shape.y:.3f}" font-size="{shape.size:.3f}" font-family="{_FAMILY}"'
                lines.append(f"<text {place}{weight}{fit}>{escape(shape.text)}</text>")
        else:
            place = f'x="{shape.x:.4f}" y="{shape.y:.4f}" width="{shape.width:.4f}" height="{shape.height:.4f}"'
            tint = "#8c8c8c" if shape.grey else "black"
            ink = f'fill="none" stroke="{tint}" stroke-width="{shape.edge:g}"' if shape.edge else 'shape-rendering="crispEdges"'
            lines.append(f"<rect {place} {ink}/>")
    return "\n".join([*lines, "</svg>", ""]).encode()


def png(page: Page, dpi: int) -> bytes:
    """A PNG of one page, grey, at so many dots an inch; what is a whole number of dots wide stays so."""
    image_of, draw_of, fonts, info_of = (library(f"PIL.{name}") for name in ("Image", "ImageDraw", "ImageFont", "PngImagePlugin"))
    dots = dpi / 25.4
    picture = image_of.new("L", (round(page.width * dots), round(page.height * dots)), 255)
    draw = draw_of.Draw(picture)
    for shape in page.shapes:
        if isinstance(shape, Words):
            font = fonts.truetype(str(font_file(shape.bold)), max(1, round(shape.size * dots)))
            draw.text((shape.x * dots, shape.y * dots), shape.text, fill=0, font=font, anchor="ls")
        else:
            _png_box(draw, shape, dots)
    about = info_of.PngInfo()
    about.add_text("Software", MAKER)
    sink = io.BytesIO()
    picture.save(sink, "PNG", dpi=(dpi, dpi), pnginfo=about)
    return sink.getvalue()


def _png_box(draw: object, shape: Box, dots: float) -> None:
    left, top, right, low = (round(one * dots) for one in (shape.x, shape.y, shape.x + shape.width, shape.y + shape.height))
    corners = (left, top, max(left, right - 1), max(top, low - 1))
    if shape.edge:
        draw.rectangle(corners, outline=140 if shape.grey else 0, width=max(1, round(shape.edge * dots)))  # type: ignore[attr-defined]
    else:
        draw.rectangle(corners, fill=0)  # type: ignore[attr-defined]
