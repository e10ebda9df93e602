"""Pictures as a scanner sees them: each kind of file made into pixels by somebody else's library, and what is read from these."""

from __future__ import annotations

import io
from pathlib import Path

import pypdfium2
import resvg_py
import zxingcpp
from PIL import Image


def pixels(path: Path, dpi: int = 300) -> list[Image.Image]:
    """The pages of a PDF, or the one picture of an SVG or a PNG, in grey."""
    if path.suffix == ".pdf":
        document = pypdfium2.PdfDocument(path.read_bytes())
        pages = [page.render(scale=dpi / 72).to_pil().convert("L") for page in document]
        document.close()
        return pages
    data = bytes(resvg_py.svg_to_bytes(svg_string=path.read_text(encoding="utf-8"), dpi=dpi)) if path.suffix == ".svg" else path.read_bytes()
    return [Image.open(io.BytesIO(data)).convert("L")]


def scanned(picture: Image.Image) -> list[tuple[str, str]]:
    """(kind, text) of everything that a scanner finds, kinds without their signs: Code128 or QRCode."""
    return sorted((str(code.format).rpartition(".")[2].replace(" ", ""), code.text) for code in zxingcpp.read_barcodes(picture))


def words_of(path: Path) -> list[str]:
    """The text of each page of a PDF."""
    document = pypdfium2.PdfDocument(path.read_bytes())
    found = [page.get_textpage().get_text_bounded() for page in document]
    document.close()
    return found
