"""Write the shipped ledger anew with the tool itself: every entry of an invented house, thirteen years of it, in order.

    python tests/story/make_records.py FOLDER

The clock of the command line is set to the afternoon on which each entry was made, so that ids and late entries are those
of a book that was really kept. The randomness of ids is seeded: the same folder comes out each time.
"""

from __future__ import annotations

import contextlib
import io
import os
import random
import sys
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import caskbook.cli.commands.enter as enter_command
import caskbook.cli.common as common
from caskbook.cli.app import run

HOUSE = """\
# Thornmere House: an invented distillery, made up for trying the book out.
name: Thornmere House
timezone: Europe/London
crew:
  - {initials: mo, name: Mother of the shop, until: 2019-03-29}
  - {initials: ab, name: first bench}
  - {initials: kd, name: second bench}
  - {initials: rs, name: apprentice, from: 2020-09-01}
  - {initials: ql, name: quality lead}
shops: [rivet-lane]
suppliers:
  northquay: {name: Northquay Casks, claim_days: 30}
  bodega-luz: {name: Bodega Luz, claim_days: 60}
stores: {W1: warehouse 1, W3: warehouse 3, "Y": yard, C: cooperage}

fill_needs: examine
examine_valid_days: 30
test_valid_days: 60
test_limit_psi:                   # lowered when the new shop air line came
  - {since: 2000-01-01, value: 12}
  - {since: 2024-06-01, value: 11}
drive_unproves: true
minimum_age: 3
class_of_spirit: [whisky, malt, grain]
laws: [eu-2019-787]
in_drink_percent: 2
measuring_error: {meter: 0.3, weigh: 0.2, dip: 1.0}

coopers: 1
hours_a_week: 6                   # at this bench, beside the filling and the racking
job_hours: {look: 0.1, nose: 0.2, treat: 0.5, examine: 0.5, stave: 2.5, shave: 0.5, char: 1, test: 0.5, regauge: 0.25}

due:
  rechar: {soon_at: 4, due_at: 5, well_past_at: 8, after_rechar_due_at: 2}
types:
  butt: {test_limit_psi: 9}
"""
SEED = 20130312
PASS11 = ("pass", "--psi", "11", "--water", "2")


class Book:
    """The command line with its clock and its dice held."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.dice = random.Random(SEED)
        self.count = 0
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "house.yaml").write_text(HOUSE, encoding="utf-8", newline="\n")
        (folder / "casks").mkdir(exist_ok=True)
        os.environ["CASKBOOK_RECORDS"] = str(folder)

    def do(self, day: str, *words: str, by: str = "ab", entered: str | None = None) -> str:
        """One command, entered on the afternoon of `day` (or later, for a late one)."""
        self.count += 1
        done = date.fromisoformat(entered or day)
        now = datetime(done.year, done.month, done.day, 13, 0, tzinfo=UTC) + timedelta(minutes=self.count % 170)
        common.clock = lambda: now
        enter_command.secrets.randbits = self.dice.getrandbits  # type: ignore[assignment]
        argv = [*words, "--by", by, "--yes"]
        if words[0] == "enter":
            argv += ["--date", day]
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = run(argv)
        if code:
            raise SystemExit(f"{day} {' '.join(words)}: {code}\n{out.getvalue()}{err.getvalue()}")
        return out.getvalue()

    def id_of(self, told: str, n: int = 0) -> str:
        """The id of the nth entry a command wrote."""
        return told.splitlines()[n].split()[1]

    def amount(self, low: float, high: float) -> str:
        return f"{self.dice.uniform(low, high):.1f}"


def many(first: int, last: int, *left_out: int) -> list[str]:
    """A range as it is typed, with its exceptions."""
    if first == last:
        return [f"TH-{first:06d}"]
    words = [f"TH-{first:06d}..{last:06d}"]
    return [*words, "except", ",".join(f"{n:06d}" for n in left_out)] if left_out else words


def one(n: int) -> str:
    return f"TH-{n:06d}"


def fill(book: Book, day: str, numbers: list[int], litres: tuple[float, float], spirit: str, row: str, by: str = "kd") -> None:
    """Each cask with its own figures, one after the other."""
    for place, n in enumerate(numbers, 1):
        book.do(day, "enter", "fill", one(n), "--spirit", spirit, "--litres", book.amount(*litres), "--abv", book.amount(63.2, 63.6),
                "--temp", book.amount(11, 16), "--method", "meter", "--berth", f"{row}/{place}", "--stow", "bilge", by=by)  # fmt: skip


def empty(book: Book, day: str, numbers: list[int], litres: tuple[float, float], abv: tuple[float, float], by: str = "kd", **late: str) -> None:
    for n in numbers:
        book.do(day, "enter", "empty", one(n), "--litres", book.amount(*litres), "--abv", book.amount(*abv), "--temp", book.amount(9, 16),
                "--method", "weigh", "--why", "drawn", by=by, **late)  # fmt: skip


def examined(book: Book, day: str, casks: list[str], by: str = "ab") -> None:
    book.do(day, "enter", "examine", *casks, "sound", by=by)


def barrels(book: Book) -> None:
    """Twenty bourbon barrels of 2013: a reject, a leak cured by driving, one that healed and one that did not."""
    head = ["--type", "barrel", "--capacity", "200", "--wood", "american-white-oak", "--maker", "Fenwick Hollow", "--made", "2006", "--staves", "31",
            "--heads", "5,5", "--hoops", "6", "--prior", "bourbon 1", "--charred", "2006", "--parcel", "P-2013-004", "--supplier", "northquay"]  # fmt: skip
    book.do("2013-03-12", "enter", "receive", *many(3370, 3389, 3384), "accept", *head, by="mo")
    book.do("2013-03-12", "enter", "receive", one(3384), "reject", "--findings", "stave-7 broken 3", *head, by="mo")
    book.do(
        "2013-03-14",
        "enter",
        "decide",
        one(3384),
        "--rule",
        "claim",
        "--outcome",
        "credited",
        "--ref",
        "NQ-118",
        "--why",
        "broken stave on arrival",
        "--approved-by",
        "ql",
        by="mo",
    )
    book.do("2013-03-20", "enter", "dispose", one(3384), "returned", "--to", "northquay", by="mo")
    book.do("2013-04-02", "enter", "receive", one(3390), "accept", "--like", one(3383), "--instead-of", one(3384), by="mo")
    examined(book, "2013-03-13", many(3370, 3389, 3384, 3379), by="mo")
    book.do("2013-03-13", "enter", "examine", one(3379), "repair", "--findings", "joint-12 joint-leak 2", by="mo")
    examined(book, "2013-04-03", [one(3390)], by="mo")
    book.do("2013-03-14", "enter", "test", *many(3370, 3389, 3384, 3372, 3379), *PASS11, by="mo")
    book.do("2013-03-14", "enter", "test", one(3372), *PASS11, "--leaks", "joint-4", "--cured-by", "drive", by="mo")
    book.do("2013-03-15", "enter", "flag", one(3379), "--at", "joint-12", by="mo")
    book.do("2013-03-15", "enter", "test", one(3379), *PASS11, by="mo")
    book.do("2013-04-03", "enter", "test", one(3390), *PASS11, by="mo")
    fill(book, "2013-04-04", [n for n in range(3370, 3391) if n != 3384], (196, 199), "malt", "W1/01", by="mo")
    told = book.do("2014-02-11", "enter", "leak", one(3375), "weep", "--at", "joint-9", by="mo")
    book.do("2014-02-25", "enter", "look", one(3375), "dry", "--of", book.id_of(told), "--closed-as", "took-up", by="mo")
    told = book.do("2014-06-03", "enter", "leak", one(3376), "drip", "--at", "head-A-joint-2", by="mo")
    book.do("2014-06-04", "enter", "look", one(3376), "drip", "--of", book.id_of(told), by="mo")
    book.do("2014-06-04", "enter", "peg", one(3376), "wedge", "--at", "head-A-joint-2", "--closes", book.id_of(told), by="mo")


def regauged(book: Book, day: str, numbers: list[int], litres: tuple[float, float], abv: tuple[float, float], method: str = "dip") -> None:
    """A round with the rod: each cask its own figures."""
    for n in numbers:
        book.do(day, "enter", "regauge", one(n), method, "--litres", book.amount(*litres), "--abv", book.amount(*abv), "--temp", book.amount(9, 14), by="rs")


def short_fills(book: Book) -> None:
    """TH-003370..3377: four fills here since the char before us, until the char is spent."""
    group = list(range(3370, 3378))
    empty(book, "2016-04-12", group, (180, 186), (61.5, 62.3), by="mo")
    book.do("2016-04-13", "enter", "examine", *many(3370, 3377, 3376), "sound", by="mo")
    book.do("2016-04-13", "enter", "examine", one(3376), "repair", "--findings", "head-A-joint-2 head-leak 2", by="mo")
    book.do("2016-04-14", "enter", "open", one(3376), "--heads", "A", by="mo")
    book.do("2016-04-14", "enter", "head", one(3376), "redowel", "--head", "A", by="mo")
    book.do("2016-04-14", "enter", "close", one(3376), "--heads", "A", by="mo")
    book.do("2016-04-15", "enter", "test", *many(3370, 3377), *PASS11, by="mo")
    fill(book, "2016-05-03", group, (195, 198), "grain", "W1/02")
    empty(book, "2019-06-04", group, (178, 185), (61.2, 62.2))
    examined(book, "2019-06-05", many(3370, 3377))
    book.do("2019-06-06", "enter", "test", *many(3370, 3377), *PASS11)
    fill(book, "2019-06-11", group, (195, 198), "grain", "W1/02")
    book.do("2021-11-08", "enter", "move", *many(3370, 3373), "--berth", "W3/07", by="rs")
    empty(book, "2022-09-06", group, (178, 185), (61.2, 62.2))
    examined(book, "2022-09-07", many(3370, 3377))
    fill(book, "2022-09-13", group, (194, 197), "grain", "W1/02")
    regauged(book, "2026-06-09", [3370, 3371, 3375, 3376], (178, 184), (61.2, 62.0))
    empty(book, "2026-11-03", [3372], (172, 180), (60.6, 61.6))
    book.do("2026-11-04", "enter", "examine", one(3372), "repair", "--findings", "joint-4 joint-leak 2", by="ab")
    book.do("2026-11-16", "enter", "flag", one(3372), "--at", "joint-4")
    empty(book, "2026-11-10", [3373, 3374, 3377], (172, 180), (60.6, 61.6))
    book.do("2026-11-11", "enter", "move", one(3377), "--berth", "Y2", by="rs")
    book.do("2026-11-12", "enter", "examine", one(3374), "repair", "--findings", "stave-17 cracked 3; stave-18 cracked 2")
    examined(book, "2026-11-12", [one(3373), one(3377)])
    book.do("2026-11-13", "enter", "decide", one(3373), "--rule", "rechar", "--outcome", "defer", "--until", "2027-01-15",
            "--why", "burner away for its service", "--approved-by", "ql")  # fmt: skip
    told = book.do("2026-11-23", "enter", "test", one(3377), "pass", "--psi", "11")
    book.do("2026-11-23", "void", one(3377), book.id_of(told), "--why", "wrong cask: it was TH-003373", entered="2026-11-24")
    book.do("2026-11-23", "enter", "test", one(3373), "pass", "--psi", "11", entered="2026-11-24")


def long_fills(book: Book) -> None:
    """TH-003378..3383 and 3390: twelve years of malt, then the bung staves, a shave and a re-char."""
    group = [*range(3378, 3384), 3390]
    for n in group:
        book.do(
            "2019-06-12",
            "enter",
            "regauge",
            one(n),
            "dip",
            "--litres",
            book.amount(174, 180),
            "--abv",
            book.amount(61.2, 61.9),
            "--temp",
            book.amount(12, 15),
            by="kd",
        )
    book.do("2019-06-12", "enter", "regauge", one(3381), "dip", "--litres", "161.5", "--abv", "61.6", "--temp", "13.5", by="kd", entered="2019-06-14")
    told = book.do("2020-02-18", "enter", "leak", one(3381), "drip", "--at", "stave-1", by="kd")
    book.do("2020-02-18", "enter", "peg", one(3381), "spile", "--at", "stave-1", "--closes", book.id_of(told), by="kd")
    book.do("2022-06-14", "enter", "sample", *[one(n) for n in group], "--ml", "100", by="rs")
    empty(book, "2025-05-06", group[:4], (146, 152), (58.0, 59.2))
    told = book.do(
        "2025-05-06",
        "enter",
        "empty",
        one(3382),
        "--litres",
        "194.8",
        "--abv",
        "58.4",
        "--temp",
        "12",
        "--method",
        "weigh",
        "--anyway",
        "--why",
        "drawn",
        by="kd",
    )
    book.do("2025-05-06", "enter", "empty", one(3382), "--litres", "149.8", "--abv", "58.4", "--temp", "12", "--method", "weigh",
            "--replaces", book.id_of(told), "--note", "4 misread as 9", by="kd", entered="2025-05-08")  # fmt: skip
    book.do("2025-05-07", "enter", "examine", one(3378), one(3380), "sound", "--stave-mm", "24")
    book.do("2025-05-07", "enter", "examine", one(3379), "repair", "--findings", "stave-1 bung-stave-crack 2", "--stave-mm", "23")
    book.do("2025-05-07", "enter", "examine", one(3381), "repair", "--findings", "stave-1 cracked 2; joint-31 joint-leak 1", "--stave-mm", "23")
    book.do("2025-05-12", "enter", "stave", one(3379), one(3381), "replace", "--staves", "1", "--from", "new")
    book.do("2025-05-13", "enter", "shave+char", one(3379), one(3381), "--method", "flail", "--shave-depth-mm", "2", "--level", "3", "--seconds", "40", by="ab")
    book.do("2025-05-15", "enter", "test", one(3379), "fail", "--psi", "11", "--leaks", "croze-A-2")
    book.do("2025-05-15", "enter", "flag", one(3379), "--at", "croze-A-2")
    book.do("2025-05-15", "enter", "drive", one(3379))
    book.do("2025-05-15", "enter", "test", one(3379), one(3381), "pass", "--psi", "11")
    book.do("2025-05-15", "enter", "test", one(3378), "pass", "--psi", "11")
    book.do("2025-05-15", "enter", "test", one(3380), "pass", "--psi", "12", "--anyway", "--why", "line still set for the old limit")
    fill(book, "2025-05-20", [3378, 3379, 3380, 3381], (195, 198), "malt", "W1/05")
    regauged(book, "2024-06-11", [3383, 3390], (150, 156), (58.8, 59.6))
    book.do("2026-03-03", "enter", "leak", one(3380), "weep", "--at", "croze-B", by="rs")
    book.do("2026-03-17", "enter", "look", one(3380), "dry", "--closed-as", "took-up", by="rs")


def remade(book: Book) -> None:
    """TH-003385..3389: two fills, then five barrels made into four hogsheads."""
    group = list(range(3385, 3390))
    empty(book, "2017-10-03", group, (182, 187), (61.8, 62.5), by="mo")
    examined(book, "2017-10-04", many(3385, 3389), by="mo")
    fill(book, "2017-10-10", group, (196, 198), "malt", "W3/02", by="kd")
    empty(book, "2022-05-03", group, (175, 181), (60.4, 61.4))
    examined(book, "2022-05-04", many(3385, 3389))
    book.do("2022-05-09", "enter", "convert", *many(3385, 3389), "--into", "4", "hogshead", "--first-id", one(6001), "--capacity", "250",
            "--gave", "30", "--maker", "our own bench", "--wood", "american-white-oak", "--hoops", "8", "--heads", "6,6")  # fmt: skip
    examined(book, "2022-05-11", many(6001, 6004))
    book.do("2022-05-11", "enter", "test", *many(6001, 6003), "pass", "--psi", "11")
    book.do("2022-05-11", "enter", "test", one(6004), "pass", "--psi", "11", "--leaks", "head-B-joint-3", "--cured-by", "drive")
    fill(book, "2022-06-01", [6001, 6002, 6003, 6004], (244, 248), "malt", "W3/04")


def hogsheads(book: Book) -> None:
    """Twelve refill hogsheads of 2014: a donor broken up, an outside re-char, three racked into a butt, a drip of yesterday."""
    head = ["--type", "hogshead", "--capacity", "250", "--wood", "american-white-oak", "--made", "2009", "--staves", "34", "--heads", "6,6", "--hoops", "8",
            "--prior", "bourbon 1; malt 2", "--charred", "2009", "--parcel", "P-2014-009", "--supplier", "northquay"]  # fmt: skip
    book.do("2014-05-06", "enter", "receive", *many(4400, 4411), "accept", *head, by="mo")
    examined(book, "2014-05-07", many(4400, 4411), by="mo")
    book.do("2014-05-08", "enter", "test", *many(4400, 4411, 4404), *PASS11, by="mo")
    for _ in range(3):
        book.do("2014-05-08", "enter", "test", one(4404), "fail", "--psi", "11", "--leaks", "stave-20,joint-21", by="mo")
        book.do("2014-05-08", "enter", "drive", one(4404), by="mo")
    book.do("2014-06-02", "enter", "retire", one(4404), "--reasons", "three fails in one visit, porous staves", "--approved-by", "ql", by="mo")
    book.do("2014-06-10", "enter", "break-up", one(4404), "--staves-saved", "28", "--heads-saved", "2", "--hoops-saved", "6", by="mo")
    rest = [n for n in range(4400, 4412) if n != 4404]
    fill(book, "2014-06-03", rest, (244, 248), "malt", "W1/03", by="mo")
    for n in rest:
        book.do(
            "2019-09-03",
            "enter",
            "regauge",
            one(n),
            "weigh",
            "--litres",
            book.amount(222, 228),
            "--abv",
            book.amount(61.0, 61.8),
            "--temp",
            book.amount(13, 16),
            by="kd",
        )
    empty(book, "2021-03-09", [4400, 4401, 4403], (214, 220), (60.0, 60.9))
    book.do("2021-03-10", "enter", "examine", one(4400), "sound", by="rs")
    book.do("2021-03-10", "enter", "examine", one(4401), "repair", "--findings", "stave-14 cracked 2", by="rs")
    book.do("2021-03-10", "enter", "examine", one(4403), "hold", "--findings", "stave-9 soaked-through 3", "--soaked", "0.6", "--stave-mm", "19", by="rs")
    book.do("2021-03-15", "enter", "stave", one(4401), "replace", "--staves", "14", "--from", one(4404))
    book.do("2021-03-16", "enter", "shave+char", one(4400), one(4401), "--method", "scrape", "--level", "3", "--seconds", "35")
    book.do("2021-03-18", "enter", "test", one(4400), one(4401), *PASS11)
    fill(book, "2021-03-23", [4400, 4401], (243, 247), "malt", "W1/03")
    book.do("2021-06-01", "enter", "retire", one(4403), "--reasons", "soaked beyond half", "--approved-by", "ql")
    empty(book, "2024-01-16", [4406, 4407], (203, 209), (58.6, 59.5))
    book.do("2024-01-17", "enter", "examine", one(4406), one(4407), "sound", by="rs")
    book.do("2024-01-22", "enter", "send", one(4406), one(4407), "--to", "shop-rivet-lane", "--why", "shave and char, our burner being out")
    book.do("2024-02-05", "enter", "shave+char", one(4406), one(4407), "--method", "cut", "--shave-depth-mm", "3", "--level", "3", by="shop-rivet-lane")
    book.do("2024-02-06", "enter", "close", one(4406), one(4407), "--heads", "both", by="shop-rivet-lane")
    book.do("2024-02-19", "enter", "return", one(4406), one(4407), "accept", "--done", "shaved and charred", "--berth", "C1")
    examined(book, "2024-02-20", [one(4406), one(4407)])
    book.do("2024-02-20", "enter", "test", one(4406), one(4407), "pass", "--psi", "11.5")
    fill(book, "2024-02-27", [4406, 4407], (243, 247), "malt", "W3/05")
    regauged(book, "2024-09-03", [4402, 4405, 4410], (203, 209), (59.4, 60.2), "weigh")
    regauged(book, "2026-03-24", [4400, 4401], (222, 227), (61.2, 61.9), "weigh")
    book.do("2026-11-24", "enter", "leak", one(4402), "drip", "--at", "head-A-joint-2", by="rs")
    empty(book, "2026-11-02", [4411], (191, 195), (57.4, 58.2), entered="2026-11-24")


def butts(book: Book) -> None:
    """Twelve sherry butts of 2014: a faulty nose claimed, treated and retired, a marriage, one that waits for its nose."""
    head = ["--type", "butt", "--capacity", "500", "--wood", "european-oak", "--maker", "Tonelera Vorrasca", "--made", "2011", "--staves", "42", "--heads", "8,8",
            "--hoops", "8", "--charred", "never", "--parcel", "P-2014-021", "--supplier", "bodega-luz"]  # fmt: skip
    book.do("2014-09-02", "enter", "receive", *many(4380, 4387), "accept", "--prior", "oloroso 1", *head, by="mo")
    book.do("2014-09-02", "enter", "receive", *many(4388, 4391), "accept", "--prior", "fino 1", *head, by="mo")
    examined(book, "2014-09-03", many(4380, 4391), by="mo")
    book.do("2014-09-03", "enter", "nose", *many(4380, 4391, 4385), "clean", by="mo")
    book.do("2014-09-03", "enter", "nose", one(4385), "fault", "--faults", "acetic", by="mo")
    book.do(
        "2014-09-04",
        "enter",
        "decide",
        one(4385),
        "--rule",
        "claim",
        "--outcome",
        "credited",
        "--ref",
        "BL-77",
        "--why",
        "acetic on arrival",
        "--approved-by",
        "ql",
        by="mo",
    )
    book.do("2014-09-08", "enter", "treat", one(4385), "steam", "--for", "taint", "--hours", "2", by="mo")
    book.do("2014-09-22", "enter", "treat", one(4385), "air", "--for", "taint", "--hours", "240", by="mo")
    book.do("2014-10-06", "enter", "nose", one(4385), "fault", "--faults", "acetic", by="mo")
    book.do("2014-10-20", "enter", "retire", one(4385), "--reasons", "acetic after two treatments", "--approved-by", "ql", by="mo")
    book.do("2014-09-05", "enter", "test", *many(4380, 4391, 4385), "pass", "--psi", "8", "--water", "4", by="mo")
    fill(book, "2014-09-30", [4380, 4381, 4382, 4383, 4384, 4386, 4387, 4388, 4389, 4390], (486, 495), "malt", "W1/10", by="mo")
    for n in (4380, 4381, 4382, 4384):
        book.do(
            "2020-10-06",
            "enter",
            "regauge",
            one(n),
            "dip",
            "--litres",
            book.amount(446, 456),
            "--abv",
            book.amount(61.4, 62.2),
            "--temp",
            book.amount(10, 13),
            by="rs",
        )
    regauged(book, "2024-10-08", [4381, 4382, 4383, 4384, 4387, 4388], (418, 428), (60.4, 61.2))
    book.do("2023-10-09", "enter", "regauge", one(4380), "dip", "--litres", "428.5", "--abv", "61.0", "--temp", "11.5", by="rs")
    examined(book, "2021-02-01", [one(4391)], by="rs")
    book.do("2021-02-01", "enter", "nose", one(4391), "clean", by="rs")
    book.do("2021-02-02", "enter", "test", one(4391), "pass", "--psi", "8", by="rs")
    book.do("2021-02-09", "enter", "rack", one(4408), one(4409), "--to", one(4391), "--litres", "216.4,214.8", "--abv", "60.2,60.4", "--temp", "10",
            "--why", "to marry in sherry wood", "--berth", "W1/10/11", by="kd")  # fmt: skip
    regauged(book, "2025-10-07", [4391], (398, 402), (59.0, 59.2))
    examined(book, "2021-02-10", [one(4408), one(4409)], by="rs")
    fill(book, "2021-02-16", [4408, 4409], (243, 247), "grain", "W3/06")
    empty(book, "2026-10-19", [4386], (392, 401), (58.2, 59.0))
    empty(book, "2026-09-07", [4389], (388, 396), (58.0, 58.8))
    examined(book, "2026-09-08", [one(4389)], by="rs")
    book.do("2026-09-08", "enter", "nose", one(4389), "fault", "--faults", "musty", by="rs")
    book.do("2026-09-10", "enter", "treat", one(4389), "steam", "--for", "taint", "--hours", "3", by="rs")
    book.do("2026-10-05", "enter", "treat", one(4389), "air", "--for", "taint", "--hours", "480", by="rs")
    book.do("2026-11-02", "enter", "nose", one(4389), "fault", "--faults", "musty", by="rs")
    examined(book, "2026-10-20", [one(4386)], by="rs")
    book.do("2026-10-20", "enter", "nose", one(4386), "faint", "--faults", "musty", by="rs")
    empty(book, "2026-11-20", [4390], (384, 392), (57.8, 58.6))
    book.do("2026-11-20", "enter", "move", one(4390), "--berth", "Y2", by="rs")


def others(book: Book) -> None:
    """A port pipe, quarter casks, a barrique, new barrels, and four of unknown past."""
    wine = ["--supplier", "bodega-luz", "--parcel", "P-2016-003", "--charred", "never"]
    book.do(
        "2016-02-02",
        "enter",
        "receive",
        one(4395),
        "accept",
        "--type",
        "port-pipe",
        "--capacity",
        "550",
        "--wood",
        "european-oak",
        "--prior",
        "port 1",
        "--staves",
        "44",
        *wine,
        by="mo",
    )
    book.do("2016-02-02", "enter", "receive", one(4398), "hold", "--type", "barrique", "--capacity", "225", "--wood", "european-oak", "--prior", "wine 3", *wine,
            "--findings", "head-B iron-stain 1", by="mo")  # fmt: skip
    book.do("2016-02-09", "enter", "release", one(4398), "--why", "stain on the outside only", "--approved-by", "ql", by="mo")
    examined(book, "2016-02-10", [one(4395), one(4398)], by="mo")
    book.do("2016-02-10", "enter", "nose", one(4395), one(4398), "clean", by="mo")
    book.do("2016-02-10", "enter", "test", one(4395), "pass", "--psi", "8", by="mo")
    fill(book, "2016-02-16", [4395], (532, 540), "malt", "W1/12", by="mo")
    fill(book, "2016-02-16", [4398], (218, 221), "malt", "W1/13", by="mo")
    book.do("2023-02-21", "enter", "regauge", one(4398), "dip", "--litres", "181.0", "--abv", "60.2", by="rs")
    book.do("2016-04-05", "enter", "receive", *many(4396, 4397), "accept", "--type", "quarter-cask", "--capacity", "125", "--wood", "american-white-oak",
            "--prior", "bourbon 1", "--charred", "2012", "--staves", "26", by="mo")  # fmt: skip
    examined(book, "2016-04-06", many(4396, 4397), by="mo")
    book.do("2016-04-06", "enter", "test", *many(4396, 4397), "pass", "--psi", "10", by="mo")
    fill(book, "2016-04-12", [4396, 4397], (121, 123.5), "malt", "W1/14", by="mo")
    empty(book, "2021-04-13", [4396, 4397], (101, 105), (59.5, 60.5))
    examined(book, "2021-04-14", many(4396, 4397), by="rs")
    fill(book, "2021-04-20", [4396, 4397], (121, 123.5), "grain", "W1/14")


def new_oak(book: Book) -> None:
    """Eight virgin barrels of 2018: swapped heads, a seasoning, one lost for a month, one sold full."""
    head = ["--type", "barrel", "--capacity", "200", "--wood", "american-white-oak", "--maker", "Fenwick Hollow", "--made", "2018", "--staves", "30", "--heads", "5,5",
            "--hoops", "6", "--prior", "[]", "--charred", "2018-01-15", "--parcel", "P-2018-002", "--supplier", "northquay"]  # fmt: skip
    book.do("2018-02-06", "enter", "receive", *many(5001, 5008), "accept", *head, by="mo")
    examined(book, "2018-02-07", many(5001, 5008), by="mo")
    book.do("2018-02-08", "enter", "test", *many(5001, 5008), *PASS11, by="mo")
    fill(book, "2018-02-13", [5001, 5002, 5003, 5004, 5005, 5006, 5008], (196, 198.5), "malt", "W3/01", by="mo")
    regauged(book, "2024-02-13", [5001, 5002, 5005, 5006], (170, 176), (61.0, 61.8))
    book.do("2023-11-06", "enter", "dispose", one(5008), "sold", "--to", "a blender", by="kd")
    empty(book, "2023-11-07", [5003, 5004], (174, 178), (60.9, 61.6))
    examined(book, "2023-11-08", [one(5003), one(5004)], by="rs")
    book.do("2023-11-09", "enter", "open", one(5003), one(5004), "--heads", "A")
    book.do("2023-11-10", "enter", "swap-heads", one(5003), "--with", one(5004), "--heads", "A", "--why", "each found with the other's head")
    book.do("2023-11-10", "enter", "close", one(5003), one(5004), "--heads", "A")
    book.do("2023-11-10", "enter", "test", one(5003), *PASS11)
    fill(book, "2023-11-14", [5003], (195, 198), "grain", "W3/01")
    book.do("2023-11-14", "enter", "fill", one(5004), "--spirit", "grain", "--litres", "196.8", "--abv", "63.4", "--temp", "11", "--method", "meter",
            "--berth", "W3/01/4", "--anyway", "--why", "last of the run, no time for the test", by="kd")  # fmt: skip
    book.do("2024-01-09", "enter", "examine", one(5007), "sound", by="rs")
    book.do("2024-01-09", "enter", "season", one(5007), "--wine", "oloroso", "--litres", "190", "--until", "2026-01-09")
    book.do("2026-03-10", "enter", "empty", one(5007), "--litres", "178", "--abv", "20.5", "--why", "drawn", by="kd")
    book.do("2026-03-11", "enter", "examine", one(5007), "sound", by="rs")
    book.do("2026-03-11", "enter", "nose", one(5007), "clean", by="rs")
    book.do("2026-03-12", "enter", "test", one(5007), "pass", "--psi", "11", by="rs")
    fill(book, "2026-03-17", [5007], (194, 197), "malt", "W3/01")
    book.do("2026-11-17", "enter", "receive", one(5009), "hold", "--findings", "head-B-2 cracked 2; stave-1 worn-bung-hole 1", *head[:-6], "--charred", "2026-02-10",
            "--parcel", "P-2026-031", "--supplier", "northquay")  # fmt: skip
    book.do("2025-06-10", "enter", "missing", one(5006), by="rs")
    book.do("2025-07-08", "enter", "found", one(5006), "--berth", "W1/02/9", by="rs")


def unknown(book: Book) -> None:
    """Four casks that came with the house and no papers; two of the numbers were one cask."""
    book.do("2013-02-04", "enter", "receive", *many(2001, 2004), "accept", "--type", "hogshead", "--capacity", "250", "--was", "no mark to be read", by="mo")
    book.do("2013-02-05", "enter", "examine", *many(2001, 2003), "sound", by="mo")
    book.do("2013-02-05", "enter", "test", *many(2001, 2003), *PASS11, by="mo")
    fill(book, "2013-02-12", [2001, 2002], (242, 247), "grain", "W1/20", by="mo")
    book.do("2013-02-12", "enter", "fill", one(2003), "--spirit", "grain", "--litres", "244.5", "--abv", "63.4", "--berth", "W1/20/3", by="mo")
    book.do("2014-01-14", "enter", "same-as", one(2003), "--of", one(2004), "--why", "one cask, painted twice", by="mo")
    empty(book, "2025-03-04", [2001], (186, 191), (56.4, 57.2))
    book.do("2025-03-05", "enter", "examine", one(2001), "sound", "--stave-mm", "21", by="rs")
    book.do("2025-03-11", "enter", "fill", one(2001), "--spirit", "grain", "--litres", "244.0", "--abv", "63.4", "--temp", "10", "--berth", "W1/20/1")


def main(folder: Path) -> None:
    """Write the ledger into `folder`, which must not hold one."""
    book = Book(folder)
    for chapter in (unknown, barrels, hogsheads, butts, short_fills, long_fills, remade, others, new_oak):
        chapter(book)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
