"""Labels are read back as a scanner reads them: what it sends is the cask's number, which `enter scan` takes."""

from __future__ import annotations

import io
import re
import sys
import tomllib
from itertools import combinations
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import HOUSE, Shop, days_ago
from entry.states import STATES
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.core import extra
from caskbook.core.finding import CaskbookError
from caskbook.paper import pictures
from caskbook.paper.codes import bar_modules
from caskbook.paper.label import PAPERS, LabelSize, label, on_sheets
from caskbook.paper.shapes import Box, Page, Words
from paper.pixels import pixels, scanned, words_of

pytestmark = pytest.mark.thorough

READY = STATES["ready"] or []
CASKS = [f"TH-{number:06d}" for number in range(4501, 4505)]
USUAL = LabelSize(100, 50, 300)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    monkeypatch.chdir(tmp_path)
    made = Shop(tmp_path, HOUSE + "stores: {W1: warehouse 1, W3: warehouse 3}\n")
    for at, cask in enumerate(CASKS):
        berth = {"job": "move", "date": days_ago(5), "berth": ("W1/05/10", "W1/05/9", "W3/01/1", "W1/04/1")[at]}
        made.put(*READY, berth, cask=cask, parcel=f"P-{at % 2}")
    return made


def labels(shop: Shop, *words: str) -> tuple[int, str]:
    ran = caskbook("labels", *words, "--records", str(shop.root))
    return ran.returncode, ran.stderr


def house(shop: Shop, lines: str) -> None:
    path = shop.root / "house.yaml"
    path.write_text(path.read_text(encoding="utf-8") + lines, encoding="utf-8")


@pytest.mark.parametrize("ending", ["pdf", "svg", "png"])
def test_what_a_scanner_reads_is_what_scan_takes(shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str) -> None:
    code, err = labels(shop, CASKS[0], "--save", f"one.{ending}")
    assert code == 0 and err == f"1 label of 100 × 50 mm: one.{ending}\n"
    read = scanned(pixels(tmp_path / f"one.{ending}")[0])
    assert read == [("Code128", CASKS[0]), ("QRCode", CASKS[0])]
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{read[0][1]}\n{read[1][1]}\n"))
    ran = shop.enter("scan", "note", "--note", "by its label", "--anyway", "--why", "twice")
    assert ran.code == 0 and "2 entries on 1 cask written" in ran.err, ran.err
    assert shop.last(CASKS[0])["note"] == "by its label"


def test_a_pdf_has_a_page_for_each_label_and_the_number_as_text(shop: Shop, tmp_path: Path) -> None:
    assert labels(shop, f"{CASKS[0]}..{CASKS[3]}", "except", CASKS[2], "--save", "Some.PDF") == (0, "3 labels of 100 × 50 mm: Some.PDF\n")
    (tmp_path / "Some.PDF").rename(tmp_path / "some.pdf")
    told = words_of(tmp_path / "some.pdf")
    assert [text.split()[0] for text in told] == [CASKS[0], CASKS[1], CASKS[3]] and "barrel · 200 L · P-1" in told[1] and "North House" in told[1]
    assert [read[0][1] for read in map(scanned, pixels(tmp_path / "some.pdf"))] == [CASKS[0], CASKS[1], CASKS[3]]


def test_casks_are_named_as_everywhere(shop: Shop, tmp_path: Path) -> None:
    code, said = labels(shop, CASKS[0][-4:], "--save", "x.png")
    assert code == 0 and "1 label of " in said and scanned(pixels(tmp_path / "x.png")[0])[0][1] == CASKS[0]


def test_several_pictures_bear_the_number_in_their_names(shop: Shop, tmp_path: Path) -> None:
    assert labels(shop, *CASKS[:2], "--save", "x.png") == (0, f"2 labels of 100 × 50 mm: x-{CASKS[0]}.png to x-{CASKS[1]}.png\n")
    assert scanned(pixels(tmp_path / f"x-{CASKS[1]}.png")[0])[0][1] == CASKS[1] and not (tmp_path / "x.png").exists()


def test_filters_choose_as_those_of_list_and_order_along_the_berths(shop: Shop, tmp_path: Path) -> None:
    for words, casks in (
        (("--store", "warehouse 1"), [CASKS[3], CASKS[1], CASKS[0]]),
        (("--berth", "W1/05"), [CASKS[1], CASKS[0]]),
        (("--parcel", "P-0"), [CASKS[0], CASKS[2]]),
        (("--type", "barrel", "--store", "warehouse 3"), [CASKS[2]]),
        ((f"{CASKS[0]}..{CASKS[2]}", "--store", "warehouse 1"), [CASKS[0], CASKS[1]]),
    ):
        assert labels(shop, *words, "--save", "some.pdf")[0] == 0
        assert [text.split()[0] for text in words_of(tmp_path / "some.pdf")] == casks, words
    code, err = labels(shop, "--berth", "w1", "--save", "none.pdf")
    assert code == 1 and "no cask here fits --berth w1" in err and not (tmp_path / "none.pdf").exists()
    shop.put(*READY, {"job": "dispose", "date": days_ago(1), "how": "sold"}, cask=CASKS[2])
    assert labels(shop, "--type", "barrel", "--save", "some.pdf") == (0, "1 cask gone or missing, and left out\n3 labels of 100 × 50 mm: some.pdf\n")
    assert labels(shop, CASKS[2], CASKS[0], "--save", "two.pdf") == (0, f"gone, and labelled all the same: {CASKS[2]}\n2 labels of 100 × 50 mm: two.pdf\n")


def test_labels_of_casks_to_come_are_wanted_by_name(shop: Shop, tmp_path: Path) -> None:
    code, err = labels(shop, "TH-009001..009002", "--save", "new.pdf")
    assert code == 2 and "TH-009001 is not in the book" in err and "--new" in err and not (tmp_path / "new.pdf").exists()
    code, err = labels(shop, "TH-009001..009002", CASKS[0], "--new", "--copies", "2", "--save", "new.pdf")
    assert code == 0 and "with the number alone: 2 casks, from TH-009001 on" in err
    assert [text.split()[0] for text in words_of(tmp_path / "new.pdf")] == ["TH-009001"] * 2 + ["TH-009002"] * 2 + [CASKS[0]] * 2


REFUSED = {
    "labels of which casks?": ("--save", "x.pdf"),
    "--save FILE.pdf, FILE.svg or FILE.png": (CASKS[0],),
    "expected a file that ends in .pdf, .svg or .png": (CASKS[0], "--save", "x.docx"),
    "ends in .pdf": (CASKS[0], "--save", "pdf"),
    "there is no folder nowhere": (CASKS[0], "--save", "nowhere/x.pdf"),
    "that is a folder": (CASKS[0], "--save", "folder.pdf"),
    "nonsense is no cask number: capitals": ("nonsense", "--save", "x.pdf"),
    "is named twice": (CASKS[0], CASKS[0], "--save", "x.pdf"),
    "--copies goes with a .pdf": (CASKS[0], "--copies", "2", "--save", "x.png"),
    "filters choose among those": ("--new", "--berth", "W1", "--save", "x.pdf"),
    "is no cask type": ("--type", "bottle", "--save", "x.pdf"),
}


@pytest.mark.parametrize("told", REFUSED)
def test_what_cannot_be_is_refused_in_a_line(shop: Shop, tmp_path: Path, told: str) -> None:
    (tmp_path / "folder.pdf").mkdir()
    there = sorted(tmp_path.rglob("*"))
    code, err = labels(shop, *REFUSED[told])
    assert code == 2 and told in err and len(err.splitlines()) == 1, err
    assert [path for path in sorted(tmp_path.rglob("*")) if ".caskbook" not in str(path)] == there


@pytest.mark.parametrize("ending", ["pdf", "svg", "png"])
def test_only_what_was_made_here_is_replaced(shop: Shop, tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"x.{ending}"
    assert labels(shop, CASKS[0], "--save", path.name)[0] == 0 and labels(shop, CASKS[1], "--save", path.name)[0] == 0
    assert scanned(pixels(path)[0])[0][1] == CASKS[1]
    made = path.read_bytes()
    path.write_bytes(b"the accounts")
    code, err = labels(shop, CASKS[1], "--save", path.name)
    assert code == 2 and "take another name" in err and path.read_bytes() == b"the accounts"
    path.unlink()
    path.symlink_to(tmp_path / "elsewhere")
    assert labels(shop, CASKS[1], "--save", path.name)[0] == 2 and not (tmp_path / "elsewhere").exists()
    path.unlink()
    assert labels(shop, CASKS[1], "--save", path.name)[0] == 0 and path.read_bytes() == made, "the same label is the same bytes"


def test_of_many_pictures_all_are_put_down_or_none(shop: Shop, tmp_path: Path) -> None:
    (tmp_path / f"x-{CASKS[2]}.png").write_bytes(b"a photograph")
    assert labels(shop, f"{CASKS[0]}..{CASKS[3]}", "--save", "x.png")[0] == 2
    assert [path.name for path in tmp_path.glob("*.png")] == [f"x-{CASKS[2]}.png"]


def test_sizes_are_the_houses(shop: Shop, tmp_path: Path) -> None:
    house(shop, "label_width_mm: 60\nlabel_height_mm: 30\nlabel_dpi: 203\n")
    assert labels(shop, CASKS[0], "--save", "x.png")[1] == "1 label of 60 × 30 mm: x.png\n"
    assert pixels(tmp_path / "x.png")[0].size == (480, 240)
    assert labels(shop, CASKS[0], "--save", "one.pdf")[0] == 0 and pixels(tmp_path / "one.pdf", dpi=254)[0].size == (600, 300)
    house(shop, "label_page: A5\n")
    assert labels(shop, *CASKS, "--save", "x.pdf")[1] == "4 labels of 60 × 30 mm, 1 page of A5: x.pdf\n"
    assert {text for kind, text in scanned(pixels(tmp_path / "x.pdf")[0]) if kind == "QRCode"} == set(CASKS)


def test_a_type_may_have_labels_of_its_own_size(shop: Shop, tmp_path: Path) -> None:
    shop.put(*READY, cask=CASKS[1], type="butt")
    house(shop, "label_page: A4\ntypes:\n  butt: {label_width_mm: 150, label_height_mm: 80}\n")
    assert labels(shop, *CASKS, "--save", "x.pdf")[1] == "4 labels of 100 × 50, 150 × 80 mm, 2 pages of A4: x.pdf\n"
    assert [{text for _, text in scanned(page)} for page in pixels(tmp_path / "x.pdf")] == [{CASKS[0], *CASKS[2:]}, {CASKS[1]}]


def test_labels_need_no_kept_index(shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    assert labels(shop, "--berth", "W1", "--save", "x.pdf") == (0, "3 labels of 100 × 50 mm: x.pdf\n")
    assert not (shop.root / ".caskbook").exists()


def test_what_no_reader_of_svg_takes_is_not_in_it(shop: Shop, tmp_path: Path) -> None:
    shop.put(*READY, cask=CASKS[0], parcel='<P> & "7"')
    assert labels(shop, CASKS[0], "--save", "a&<b>.svg")[0] == 0
    assert scanned(pixels(tmp_path / "a&<b>.svg")[0])[0][1] == CASKS[0] and "&lt;P&gt; &amp; &quot;7&quot;" in (tmp_path / "a&<b>.svg").read_text(
        encoding="utf-8"
    )


def test_a_label_too_small_or_too_large_is_refused(shop: Shop) -> None:
    house(shop, "label_width_mm: 30\nlabel_height_mm: 15\n")
    code, err = labels(shop, CASKS[0], "--save", "x.pdf")
    assert code == 2 and "30 × 15 mm is too small for the codes of TH-004501" in err and "label_width_mm" in err
    house(shop, "label_page: A4\n")
    page = label(CASKS[0], [], LabelSize(210, 60, 300))
    with pytest.raises(CaskbookError, match="does not go on A4"):
        on_sheets([page], "A4")


def test_every_setting_is_explained() -> None:
    for name in ("label_width_mm", "label_height_mm", "label_dpi", "label_page", "paper"):
        assert name in caskbook("explain", name).stdout


def test_without_the_libraries_it_says_what_to_install(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("reportlab", "segno", "barcode.codex"):
        extra.library.cache_clear()
        with monkeypatch.context() as without:
            without.setitem(sys.modules, name, None)
            code, err = labels(shop, CASKS[0], "--save", "x.pdf")
        whole = name.partition(".")[0]
        assert code == 2 and err == f"caskbook: {whole} is not installed, and printing needs it: pip install 'caskbook[print]', in a checkout '.[print]'\n"
    extra.library.cache_clear()


def test_the_tests_have_what_printing_needs() -> None:
    """The lowest versions are tried by what `test` names."""
    extras = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))["project"]["optional-dependencies"]
    assert set(extras["print"]) <= set(extras["test"])


def test_signs_that_the_letters_lack_are_told(shop: Shop, tmp_path: Path) -> None:
    shop.put(*READY, cask=CASKS[0], parcel="Łąka 樽")
    code, err = labels(shop, CASKS[0], "--save", "x.pdf")
    assert code == 0 and err.startswith("the letters of the print lack ą樽: ") and "Łaka ?" in words_of(tmp_path / "x.pdf")[0]


_SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
NUMBERS = st.builds(
    lambda first, parts, figures: "-".join([first, *parts, figures]),
    st.builds("{}{}".format, st.sampled_from(_SIGNS[:26]), st.text(_SIGNS, max_size=3)),
    st.lists(st.text(_SIGNS, min_size=1, max_size=4), max_size=2),
    st.text("0123456789", min_size=4, max_size=9),
)


@settings(max_examples=many(60), deadline=None)
@given(NUMBERS, st.sampled_from([USUAL, LabelSize(60, 30, 203), LabelSize(50, 80, 203), LabelSize(38, 25, 600), LabelSize(148, 105, 150)]))
def test_any_number_is_read_from_its_label_or_refused(number: str, size: LabelSize) -> None:
    try:
        page = label(number, ["hogshead · 250 L", "A House"], size)
    except CaskbookError as error:
        assert size != USUAL and number in str(error)
        return
    picture = pixels_of(pictures.png(page, size.dpi))
    assert scanned(picture) == [("Code128", number), ("QRCode", number)]
    for one in page.shapes:
        right = one.x + one.width
        low = one.y if isinstance(one, Words) else one.y + one.height
        assert one.x >= 1.9 and right <= size.width - 1.9 and low <= size.height - 1.2, "everything stands on the label"


def pixels_of(data: bytes):  # type: ignore[no-untyped-def]
    from PIL import Image

    return Image.open(io.BytesIO(data)).convert("L")


@settings(max_examples=many(60), deadline=None)
@given(NUMBERS)
def test_bars_are_whole_dots_wide(number: str) -> None:
    size = LabelSize(148, 60, 203)
    page = label(number, [], size)
    picture = pixels_of(pictures.png(page, 203))
    bars = [one for one in page.shapes if isinstance(one, Box)]
    row = round((bars[0].y + bars[0].height / 2) * 203 / 25.4)
    end = round((bars[0].x + 400) * 203 / 25.4)
    line = "".join("1" if picture.getpixel((x, row)) < 128 else "0" for x in range(min(end, picture.width)))
    runs = [len(run) for run in re.findall(r"1+|0+", line.strip("0"))]
    modules = [len(run) for run in re.findall(r"1+|0+", bar_modules(number))]
    assert {have // wanted for have, wanted in zip(runs, modules, strict=False)} == {runs[0] // modules[0]}
    assert all(not have % wanted for have, wanted in zip(runs, modules, strict=False))


def test_labels_on_a_sheet_do_not_overlap() -> None:
    for paper, (width, height) in PAPERS.items():
        pages = on_sheets([label(f"TH-{n:06d}", [], LabelSize(60, 30, 300)) for n in range(25)], paper)
        edges = [(one.x, one.y) for page in pages for one in page.shapes if isinstance(one, Box) and one.grey]
        assert len(edges) == 25 and all(x >= 5 and x + 60 <= width - 5 and y >= 5 and y + 30 <= height - 5 for x, y in edges)
        assert all(abs(x - u) >= 60 - 1e-6 or abs(y - v) >= 30 - 1e-6 for page in pages for (x, y), (u, v) in combinations(_corners(page), 2))
        assert len(pages) == -(-25 // {"A4": 27, "A5": 12}[paper])


def _corners(page: Page) -> list[tuple[float, float]]:
    return [(one.x, one.y) for one in page.shapes if isinstance(one, Box) and one.grey]


@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_no_label_has_finer_codes_than_a_hand_scanner_reads(dpi: int) -> None:
    """Bars of a quarter mm and dots of 0.4 mm at least, bars 6 mm high, which follows from the dots; there are sizes on either side of the limit."""
    made = refused = 0
    for width in range(20, 110, 3):
        for height in range(15, 70, 5):
            try:
                page = label("TH-004217", ["hogshead"], LabelSize(width, height, dpi))
            except CaskbookError:
                refused += 1
                continue
            made += 1
            boxes = [one for one in page.shapes if isinstance(one, Box)]
            assert max(one.height for one in boxes) > 5.9, (width, height)
            assert min(one.width for one in boxes if one.height > 5.9) > 0.249 and min(one.height for one in boxes) > 0.399, (width, height)
            assert len({round(one.height, 6) for one in boxes}) == 2
    assert made > 50 and refused > 50
