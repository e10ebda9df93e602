"""The vat of a fill: typed, shown, listed, and held against the casks that were filled from it; minutes, material and photographs of a job."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.checks import check_ledger
from caskbook.model.photo import photo_name
from entry.shop import HOUSE, Shop, days_ago

CAME = {"date": days_ago(9), "job": "receive", "verdict": "accept"}
SOUND = {"date": days_ago(8), "job": "examine", "verdict": "sound"}
CASKS = tuple(f"TH-{n:06d}" for n in range(7001, 7006))
FILL = ("--spirit", "malt", "--abv", "63.5", "--temp", "20", "--by", "ab", "--yes")


@pytest.fixture(params=["index", "files"])
def house(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    if request.param == "files":
        monkeypatch.setenv("CASKBOOK_INDEX", "off")
    made = Shop(tmp_path, HOUSE)
    for cask in CASKS:
        made.put(CAME, SOUND, cask=cask)
    return made


def fill(house: Shop, cask: str, litres: int, *words: str):
    return caskbook("enter", "fill", cask, "--litres", str(litres), *FILL, *words, "--records", str(house.root))


def told(house: Shop) -> list[tuple[str, str]]:
    return [(one.code, one.message) for one in check_ledger(house.ledger, house.today).findings if one.code.startswith("vat-")]


@pytest.mark.thorough
def test_a_fill_tells_its_vat_and_the_lists_find_its_casks(house: Shop) -> None:
    for cask in CASKS[:2]:
        assert fill(house, cask, 190, "--vat", "V 12", "--vat-litres", "380").returncode == 0
    assert list(house.last(CASKS[0]))[:7] == ["id", "date", "job", "by", "spirit", "litres", "abv"] and house.last(CASKS[0])["vat"] == "V 12"
    shown = caskbook("show", CASKS[0], "--records", str(house.root))
    assert ", vat V 12\n" in shown.stdout and "190.0 L at 63.5 %, malt, vat V 12" in shown.stdout
    assert json.loads(caskbook("show", CASKS[0], "--format", "json", "--records", str(house.root)).stdout)["vat"] == "V 12"
    listed = caskbook("list", "--vat", "V 12", "--columns", "cask,vat", "--format", "csv", "--records", str(house.root))
    assert listed.stdout.split() == ["cask,vat", f"{CASKS[0]},V", "12", f"{CASKS[1]},V", "12"]
    asked = "SELECT vat, count(*) casks, sum(litres) litres FROM fill GROUP BY vat"
    assert json.loads(caskbook("query", asked, "--format", "json", "--records", str(house.root)).stdout) == [{"vat": "V 12", "casks": 2, "litres": 380.0}]
    asked = "SELECT cask, vat_litres FROM event WHERE vat IS NOT NULL AND stands ORDER BY cask"
    assert [row["vat_litres"] for row in json.loads(caskbook("query", asked, "--format", "json", "--records", str(house.root)).stdout)] == [380, 380]
    assert told(house) == []


@pytest.mark.thorough
def test_a_vat_is_listed_under_whatever_name_its_account_has_it(house: Shop) -> None:
    for cask, vat in zip(CASKS, ("Grün 12", "GRÜN  12", "Grün 1"), strict=False):
        assert fill(house, cask, 190, "--vat", vat).returncode == 0
    for word in ("grün 12", " GRÜN   12 "):
        listed = caskbook("list", "--vat", word, "--columns", "cask", "--format", "csv", "--records", str(house.root))
        assert listed.stdout.split() == ["cask", *CASKS[:2]], word


@pytest.mark.thorough
def test_emptied_it_is_of_no_vat_and_its_fill_still_is(house: Shop) -> None:
    fill(house, CASKS[0], 190, "--vat", "V1")
    house.enter("empty", CASKS[0], "--litres", "189", "--abv", "63.5", "--temp", "20", "--by", "ab", "--yes")
    assert house.facts(CASKS[0]).vat is None
    asked = "SELECT cask, vat FROM fill"
    assert json.loads(caskbook("query", asked, "--format", "json", "--records", str(house.root)).stdout) == [{"cask": CASKS[0], "vat": "V1"}]


def test_what_is_in_casks_is_told_as_it_goes_and_too_much_is_doubted(house: Shop) -> None:
    first = fill(house, CASKS[0], 190, "--vat", "V12", "--vat-litres", "500")
    assert f"vat V12 on {days_ago(0)}: 1 cask, 190.0 L of 500 L\n" in first.stderr
    assert told(house) == [("vat-remainder", f"vat V12 on {days_ago(0)}: 1 cask, 190.0 L of 500 L: 310.0 L in none of them")]
    second = fill(house, CASKS[1], 190, "--vat", "v12")
    assert "2 casks, 380.0 L of 500 L\n" in second.stderr, "another cask's figure counts, and so do capitals not"
    words = [word for word in FILL if word != "--yes"]
    doubted = caskbook("enter", "fill", CASKS[2], "--litres", "190", *words, "--vat", "V12", "--records", str(house.root))
    assert doubted.returncode == 1 and "3 casks, 570.0 L of 500 L: more than it held" in doubted.stderr
    assert fill(house, CASKS[2], 190, "--vat", "V12").returncode == 0
    assert told(house) == [("vat-overdrawn", f"vat V12 on {days_ago(0)}: 3 casks, 570.0 L of 500 L: more than it held")]


def test_the_check_of_the_command_keeps_what_it_knows_of_vats(house: Shop) -> None:
    for cask in CASKS[:3]:
        fill(house, cask, 190, "--vat", "V12", "--vat-litres", "500")
    for _ in range(2):
        ran = caskbook("check", "--format", "json", "--records", str(house.root))
        assert [one["code"] for one in json.loads(ran.stdout)["findings"] if one["code"].startswith("vat-")] == ["vat-overdrawn"]
    ran = caskbook("void", CASKS[2], str(house.last(CASKS[2])["id"]), "--why", "not filled", "--by", "ab", "--records", str(house.root), "--yes")
    assert ran.returncode == 0 and [code for code, _ in told(house)] == ["vat-remainder"]


@pytest.mark.parametrize(("litres", "percent", "code"), [(510, 2, None), (511, 2, "vat-overdrawn"), (490, 2, None), (489, 2, "vat-remainder"), (520, 5, None), (501, 0, "vat-overdrawn")])  # fmt: skip
def test_how_far_is_the_houses(tmp_path: Path, litres: int, percent: int, code: str | None) -> None:
    made = Shop(tmp_path, HOUSE + f"vat_tolerance_percent: {percent}\n")
    full = {"date": days_ago(7), "job": "fill", "spirit": "malt", "litres": litres, "abv": 63.5, "temp_c": 20, "vat": "V12", "vat_litres": 500}
    made.put(CAME, SOUND, full, cask=CASKS[0], type="butt", capacity_l=550)
    assert [one for one, _ in told(made)] == ([code] if code else [])


@pytest.mark.thorough
def test_the_check_of_one_cask_counts_what_others_were_filled_with(house: Shop) -> None:
    """Also what has left its cask since, under whatever spelling of the vat, and of a commit; told at the cask with which it is too much, as by the whole check."""
    for cask, vat in zip(CASKS[:3], ("V 12", "v 12", "V  12"), strict=True):
        filled = {"date": days_ago(3), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "at_20": True, "vat": vat, "vat_litres": 380}
        left = [{"date": days_ago(1), "job": "empty", "litres": 190, "abv": 63.4, "at_20": True}] if cask == CASKS[0] else []
        house.put(CAME, SOUND, filled, *left, cask=cask)
    git = ("git", "-C", str(house.root))
    for words in (("init", "-q"), ("add", "-A"), ("-c", "user.name=x", "-c", "user.email=x", "commit", "-qm", "x")):
        subprocess.run([*git, *words], check=True)

    def found(*words: str) -> list[tuple[str, str]]:
        ran = caskbook("check", *words, "--format", "json", "--records", str(house.root))
        return [(one["cask"], one["code"]) for one in json.loads(ran.stdout)["findings"] if one["code"].startswith("vat-")]

    whole = found()
    assert len(whole) == 1 and whole[0][1] == "vat-overdrawn"
    for at in ((), ("--at", "HEAD")):
        assert [one for cask in CASKS[:4] for one in found(cask, *at)] == whole
        assert found(*CASKS[:3], *at) == whole


def test_another_day_and_another_vat_are_other_accounts(tmp_path: Path) -> None:
    made = Shop(tmp_path, HOUSE)
    for n, (day, vat, held) in enumerate(((7, "V1", 190), (6, "V1", 190), (7, "V2", None))):
        full = {"date": days_ago(day), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 20, "vat": vat, "vat_litres": held}
        made.put(CAME, SOUND, {key: value for key, value in full.items() if value is not None}, cask=CASKS[n])
    assert told(made) == []


def test_litres_of_no_vat_are_refused(house: Shop) -> None:
    ran = fill(house, CASKS[0], 190, "--vat-litres", "500")
    assert ran.returncode != 0 and "vat" in ran.stderr and house.last(CASKS[0])["job"] == "examine"


@pytest.mark.thorough
def test_minutes_material_and_photos_of_a_job(house: Shop) -> None:
    ran = house.enter("drive", CASKS[0], "--minutes", "20", "--material", "2 hoops, rush", "--photo", "photos/a.jpg", "--by", "ab", "--yes")
    assert ran.code == 0, ran.err
    last = house.last(CASKS[0])
    assert (last["work_minutes"], last["material"], last["photo"]) == (20, ["2 hoops", "rush"], ["photos/a.jpg"])
    ran = house.enter("test", CASKS[0], "pass", "--psi", "9", "--minutes", "10", "--work", "0.5h", "--by", "ab", "--yes")
    assert ran.code == 0, ran.err
    assert (house.last(CASKS[0])["minutes"], house.last(CASKS[0])["work_minutes"]) == (10, 30), "of a test minutes are how long it was held"
    shown = caskbook("show", CASKS[0], "--all", "--records", str(house.root)).stdout
    assert "all hoops, 20 min, with 2 hoops and rush, photo photos/a.jpg" in shown and "pass, 9 psi, 30 min" in shown
    asked = "SELECT job, sum(work_minutes) minutes FROM event WHERE stands AND work_minutes IS NOT NULL GROUP BY job ORDER BY job"
    rows = json.loads(caskbook("query", asked, "--format", "json", "--records", str(house.root)).stdout)
    assert rows == [{"job": "drive", "minutes": 20.0}, {"job": "test", "minutes": 30.0}]
    asked = "SELECT m.value, sum(CAST(m.value AS REAL)) n FROM event, json_each(material) m GROUP BY 1 ORDER BY 1"
    assert len(json.loads(caskbook("query", asked, "--format", "json", "--records", str(house.root)).stdout)) == 2
    assert house.codes(CASKS[0]) == []


def test_minutes_beside_a_test_stay_how_long_it_was_held(house: Shop) -> None:
    ran = house.enter("drive+test", CASKS[0], "pass", "--psi", "9", "--minutes", "10", "--drive-work-minutes", "20", "--by", "ab", "--yes")
    assert ran.code == 0, ran.err
    drive, test = house.data(CASKS[0])["events"][-2:]
    assert (drive.get("work_minutes"), test.get("minutes"), test.get("work_minutes")) == (20, 10, None)


def test_a_sheet_and_the_bench_take_them(house: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "day.csv").write_text(
        f"date,job,cask,by,work_minutes,material,photo\n{days_ago(0)},drive,{CASKS[0]},ab,15,rush; 1 hoop,a.jpg\n{days_ago(0)},drive,{CASKS[1]},ab,15,,../b.jpg\n",
        encoding="utf-8",
    )
    ran = caskbook("enter", "sheet", str(tmp_path / "day.csv"), "--yes", "--records", str(house.root))
    assert ran.returncode != 0 and "photo" in ran.stderr and house.last(CASKS[0])["job"] == "examine"
    text = (tmp_path / "day.csv").read_text(encoding="utf-8").replace("../b.jpg", "b.jpg")
    (tmp_path / "day.csv").write_text(text, encoding="utf-8")
    assert caskbook("enter", "sheet", str(tmp_path / "day.csv"), "--yes", "--records", str(house.root)).returncode == 0
    assert house.last(CASKS[0])["material"] == ["rush", "1 hoop"] and house.last(CASKS[1])["photo"] == ["b.jpg"]
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"shift ab\ntest {CASKS[2]} p --psi 9 --work 12 --material rush --photo c.jpg\n"))
    ran = caskbook("bench", "--records", str(house.root))
    assert ran.returncode == 0, ran.stderr
    last = house.last(CASKS[2])
    assert (last["work_minutes"], last["material"], last["photo"]) == (12, ["rush"], ["c.jpg"])


GOOD = ("a.jpg", "photos/2026/IMG 0412.jpg", "..a.jpg", "a..jpg", "é.png", ".hidden.jpg", "a~b.jpg")
BAD = ("/etc/passwd", "../a.jpg", "a/../../b.jpg", "a/..", "..", ".", "", "C:\\a.jpg", "C:/a.jpg", "a\\b.jpg", "\\\\host\\a", "~/a.jpg", "~root/a", "file:///a",
       "http://x/a.jpg", "a//b.jpg", "a/", "./a.jpg", "a/./b", "a\n.jpg", "a\x00.jpg", "a\u202e.jpg", "x" * 256)  # fmt: skip


def test_a_photograph_stays_below_the_ledger() -> None:
    assert [name for name in GOOD if photo_name(name) != name] == []
    taken = []
    for name in BAD:
        try:
            taken.append(photo_name(name))
        except ValueError as error:
            assert "write a file name" in str(error)
    assert taken == []


@pytest.mark.parametrize("name", ["/etc/passwd", "../a.jpg", "C:/a.jpg"])
def test_such_a_name_is_refused_at_entry_and_told_by_the_check(house: Shop, name: str) -> None:
    before = house.path(CASKS[0]).read_bytes()
    ran = house.enter("note", CASKS[0], "--note", "seen", "--photo", name, "--by", "ab", "--yes")
    assert ran.code != 0 and "write a file name" in ran.err + ran.out and house.path(CASKS[0]).read_bytes() == before
    house.put(CAME, {"date": days_ago(1), "job": "note", "note": "seen", "photo": [name]}, cask=CASKS[1])
    assert house.codes(CASKS[1]) != []


def test_a_review_tells_the_work_of_one_cask_and_adds_up_that_of_many() -> None:
    from casks import HOUSE as PLAIN
    from casks import cask_of, ev

    from caskbook.review.days import Done, days

    casks = [
        cask_of(ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "drive", work_minutes=12.5, material=["rush"]), cask=cask) for cask in CASKS
    ]
    (told_of_one,) = days([Done(casks[0], casks[0].events[1])], PLAIN)
    assert told_of_one.casks[0].phrases == ("all hoops driven, 12.5 min, with rush",)
    (told_of_all,) = days([Done(cask, cask.events[1]) for cask in casks], PLAIN)
    assert told_of_all.groups[0].text.endswith("62.5 min of work")
