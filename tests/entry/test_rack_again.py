"""A racking or a swap of heads that is put right or was forgotten: all its files, in their place, or a plain refusal."""

from __future__ import annotations

import pytest
from commands import caskbook

from entry.shop import Shop, days_ago
from entry.states import STATES

FROM, INTO, OTHER = "TH-004501", "TH-004502", "TH-004503"
DAY = days_ago(3)


def enter(shop: Shop, *words: str) -> str:
    ran = caskbook("enter", *words, "--by", "ab", "--yes", "--records", str(shop.root))
    assert ran.returncode == 0, (words, ran.stderr)
    return ran.stderr


def refused(shop: Shop, *words: str) -> str:
    before = {cask: shop.path(cask).read_bytes() for cask in (FROM, INTO, OTHER)}
    ran = caskbook("enter", *words, "--by", "ab", "--yes", "--records", str(shop.root))
    assert ran.returncode != 0 and before == {cask: shop.path(cask).read_bytes() for cask in before}, ran.stderr
    return ran.stderr


def racking(shop: Shop, cask: str) -> dict[str, object]:
    found = next(event for event in reversed(shop.data(cask)["events"]) if event["job"].startswith("rack"))
    assert isinstance(found, dict)
    return found


@pytest.fixture
def racked(shop: Shop) -> Shop:
    """50 L racked out of one cask into another, 140 L left; a third one is empty and ready."""
    shop.put(*(STATES["filled"] or []), cask=FROM)
    for cask in (INTO, OTHER):
        shop.put(*(STATES["ready"] or []), cask=cask)
    words = ("--litres", "50", "--abv", "62", "--left", "140", "--at-20", "--why", "leak", "--date", DAY.isoformat())
    enter(shop, "rack", FROM, "--to", INTO, *words)
    return shop


def test_a_racking_put_right_keeps_the_sheet_the_photographs_and_what_it_answers(racked: Shop) -> None:
    for cask in (FROM, INTO):
        path, old = racked.path(cask), str(racking(racked, cask)["sheet"])
        text = path.read_text()
        assert text.count(old) == 1
        path.write_text(text.replace(f"sheet: {old}", f"sheet: rack-07\n    photo: [IMG_{cask}.jpg]", 1))
    enter(racked, "rack", FROM, "--to", INTO, "--litres", "55", "--left", "135", "--replaces", str(racked.last(FROM)["id"]), "--note", "misread")
    for cask in (FROM, INTO):
        now = racked.last(cask)
        assert (now["sheet"], now["photo"], "replaces" in now) == ("rack-07", [f"IMG_{cask}.jpg"], True)
    enter(
        racked, "rack", FROM, "--to", INTO, "--litres", "56", "--left", "134", "--replaces", str(racked.last(FROM)["id"]), "--note", "again", "--sheet",
        "rack-08", "--photo", "IMG_2.jpg",
    )  # fmt: skip
    assert [(now["sheet"], now["photo"]) for now in map(racked.last, (FROM, INTO))] == [("rack-08", ["IMG_2.jpg"])] * 2


def test_a_racking_is_put_right_in_all_its_files(racked: Shop) -> None:
    old = racked.last(FROM)["id"]
    enter(racked, "move", FROM, "--berth", "A/1", "--date", DAY.isoformat())
    enter(racked, "rack", FROM, "--to", INTO, "--litres", "55", "--left", "135", "--replaces", old[:8], "--note", "misread")
    events = racked.data(FROM)["events"]
    assert [event["job"] for event in events[-3:]] == ["rack-out", "rack-out", "move"], "in its place of the day"
    sides = racked.data(FROM)["events"][-2], racked.last(INTO)
    assert {side["id"] for side in sides} == {sides[0]["id"]} and sides[0]["id"].startswith(old) and len(sides[0]["id"]) == len(old) + 2
    assert all((side["replaces"], side["at_20"]) == (old, True) for side in sides)
    assert (sides[0]["why"], sides[0]["note"], sides[1]["why"]) == ("leak", "misread", "misread") and "note" not in sides[1]
    assert sides[0]["to"] == [{"cask": INTO, "litres": 55, "abv": 62}] and sides[0]["left_l"] == 135
    assert sides[1]["from"] == [{"cask": FROM, "litres": 55, "abv": 62}] and racked.facts(INTO).fills == 1
    assert (sides[1]["spirit"], sides[1]["oak_since"]) == (racked.facts(FROM).spirit, racked.facts(FROM).oak_since)
    assert not [code for cask in (FROM, INTO) for code in racked.codes(cask) if code.startswith("rack")]
    assert "already replaced" in refused(racked, "rack", FROM, "--to", INTO, "--litres", "56", "--replaces", old, "--note", "again")


def test_a_racking_put_right_to_another_day_takes_over_what_is_not_given(racked: Shop) -> None:
    old = racked.last(FROM)["id"]
    enter(racked, "rack", FROM, "--to", INTO, "--date", days_ago(1).isoformat(), "--replaces", old, "--note", "wrong day")
    out, into = racked.last(FROM), racked.last(INTO)
    assert (out["left_l"], out["to"][0]["litres"], out["date"], into["replaces"], into["spirit"]) == (140, 50, days_ago(1), old, "malt")
    assert racked.facts(INTO).fills == 1 and racked.facts(FROM).state == "filled"


def test_a_racking_that_emptied_its_source_is_put_right(racked: Shop) -> None:
    """What the source held is told as it stood before the racking that is replaced."""
    enter(racked, "rack", FROM, "--to", INTO, "--litres", "140", "--abv", "62", "--left", "0", "--at-20", "--why", "rest", "--date", days_ago(2).isoformat())
    since = racked.last(INTO)["oak_since"]
    enter(racked, "rack", FROM, "--to", INTO, "--litres", "139", "--date", days_ago(1).isoformat(), "--replaces", racked.last(FROM)["id"], "--note", "misread")
    assert (racked.last(INTO)["spirit"], racked.last(INTO)["oak_since"]) == ("malt", since) and racked.facts(FROM).state == "emptied"


def test_what_cannot_be_put_right_in_all_files_is_refused(racked: Shop) -> None:
    old, figures = racked.last(FROM)["id"], ("--litres", "50", "--abv", "62", "--left", "140", "--note", "misread")
    assert "one side alone" in refused(racked, "rack", FROM, "--to", OTHER, *figures, "--replaces", old)
    assert "has no entry" in refused(racked, "rack", FROM, "--to", INTO, *figures, "--replaces", "zzzzzzzz")
    fill = racked.data(FROM)["events"][2]
    assert "not a racking" in refused(racked, "rack", FROM, "--to", INTO, *figures, "--replaces", fill["id"])
    convert = ("convert", OTHER, "--into", "1", "hogshead", "--as", "TH-009001", "--capacity", "250", "--why", "x")
    assert "void it" in refused(racked, *convert, "--replaces", old)


def test_a_racking_forgotten_earlier_that_day_goes_before(racked: Shop) -> None:
    enter(racked, "rack", FROM, "--to", INTO, "--litres", "20", "--abv", "62", "--left", "140", "--why", "first", "--before", racked.last(FROM)["id"])
    assert [event["why"] for event in racked.data(FROM)["events"][-2:]] == ["first", "leak"]
    assert [event["from"][0]["litres"] for event in racked.data(INTO)["events"][-2:]] == [20, 50]
    assert racked.last(FROM)["date"] == racked.data(FROM)["events"][-2]["date"] == DAY


def test_a_figure_that_does_not_agree_is_not_dropped(racked: Shop) -> None:
    rest = ("--abv", "62", "--left", "50", "--why", "x")
    assert "60 L out and 40 L in" in refused(racked, "rack", FROM, "--to", INTO, OTHER, "--litres", "60", "--litres-to", "20,20", *rest)
    assert "60 L out and 20 L in" in refused(racked, "rack", FROM, "--to", OTHER, "--litres", "60", "--litres-to", "20", *rest)
    enter(racked, "rack", FROM, "--to", INTO, OTHER, "--litres", "40", "--litres-to", "25,15", *rest)


def test_the_close_before_a_racking_has_its_own_day(racked: Shop) -> None:
    enter(racked, "open", OTHER, "--heads", "A", "--date", DAY.isoformat())
    words = ("--litres", "20", "--abv", "62", "--left", "120", "--date", days_ago(1).isoformat(), "--closed-on", days_ago(2).isoformat())
    enter(racked, "rack", FROM, "--to", OTHER, *words, "--why", "x", "--anyway")
    close = racked.data(OTHER)["events"][-2]
    assert (close["job"], close["date"], racked.last(OTHER)["date"]) == ("close", days_ago(2), days_ago(1))
    assert racked.last(OTHER)["id"] in close["note"]


@pytest.fixture
def by_hand(racked: Shop) -> tuple[Shop, str, str]:
    """The same racking with an id for each side, as `stamp` gives them to halves written by hand; a check takes them for one."""
    one, other = racked.last(FROM)["id"], racked.last(INTO)["id"]
    path = racked.path(INTO)
    path.write_text(path.read_text().replace(other, other[:-1] + ("1" if other[-1] != "1" else "2")))
    assert not [code for cask in (FROM, INTO) for code in racked.codes(cask) if code.startswith("rack")]
    return racked, one, racked.last(INTO)["id"]


def test_neither_half_written_by_hand_is_replaced_alone(by_hand: tuple[Shop, str, str]) -> None:
    shop, one, other = by_hand
    words = ("rack", FROM, "--to", INTO, "--litres", "55", "--abv", "62", "--left", "135", "--at-20", "--why", "leak", "--note", "misread")
    assert f"it stands in {INTO} as well ({other})" in refused(shop, *words, "--replaces", one)
    said = refused(shop, *words, "--replaces", other)
    assert f"it stands in {FROM} as well ({one})" in said and f"caskbook void {INTO} {other}" in said


@pytest.mark.thorough
@pytest.mark.parametrize("cask", [FROM, INTO])
def test_a_void_puts_out_both_halves_written_by_hand(by_hand: tuple[Shop, str, str], cask: str) -> None:
    shop, one, other = by_hand
    ran = caskbook("void", cask, one if cask == FROM else other, "--why", "misread", "--by", "ab", "--yes", "--records", str(shop.root))
    assert ran.returncode == 0, ran.stderr
    assert (shop.last(FROM)["of"], shop.last(INTO)["of"]) == (one, other)
    enter(shop, "rack", FROM, "--to", INTO, "--litres", "55", "--abv", "62", "--left", "135", "--at-20", "--why", "again", "--date", DAY.isoformat())
    assert not [code for cask in (FROM, INTO) for code in shop.codes(cask) if code.startswith("rack")] and shop.facts(INTO).fills == 1


def test_a_swap_written_by_hand_is_put_out_on_both_casks(shop: Shop) -> None:
    for cask in (FROM, INTO, OTHER):
        shop.put(*(STATES["open"] or []), cask=cask)
    enter(shop, "swap-heads", FROM, "--with", INTO, "--heads", "A", "--why", "mixed up")
    one, path = shop.last(FROM)["id"], shop.path(INTO)
    path.write_text(path.read_text().replace(one, "a" + one[1:]))
    refused(shop, "swap-heads", FROM, "--with", INTO, "--heads", "B", "--note", "B it was", "--replaces", one)
    assert caskbook("void", FROM, one, "--why", "x", "--by", "ab", "--yes", "--records", str(shop.root)).returncode == 0
    assert (shop.last(FROM)["of"], shop.last(INTO)["of"]) == (one, "a" + one[1:])
