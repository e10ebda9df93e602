"""Staves out of a cask that was knocked down: they are there while it lies as a bundle, as many as it is not raised from again."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import Shop, days_ago, shop_with_index

pytestmark = pytest.mark.thorough

DONOR, TAKER, OTHER = "TH-004217", "TH-004218", "TH-004219"


@pytest.fixture(params=["on", "off"])
def shop(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A donor of 30 staves that was knocked down 60 days ago, and two open casks; with an index, and without."""
    shop = shop_with_index(request.param, tmp_path, monkeypatch)
    down = ({"date": days_ago(90), "job": "receive", "verdict": "accept"}, {"date": days_ago(60), "job": "knock-down", "staves": 30})
    shop.put(*down, cask=DONOR)
    for cask in (TAKER, OTHER):
        shop.put({"date": days_ago(90), "job": "receive", "verdict": "accept"}, {"date": days_ago(80), "job": "open", "heads": ["A", "B"]}, cask=cask)
    if request.param == "on":
        caskbook("list")
    return shop


def enter(*words: str, ago: int) -> tuple[int, str]:
    done = caskbook("enter", *words, "--date", str(days_ago(ago)), "--by", "ab", "--yes")
    return done.returncode, done.stderr


def take(cask: str, count: int, ago: int) -> tuple[int, str]:
    return enter("stave", cask, "replace", "--staves", ",".join(map(str, range(1, count + 1))), "--from", DONOR, ago=ago)


def errors(*casks: str) -> list[str]:
    return [found["code"] for found in json.loads(caskbook("check", *casks, "--format", "json").stdout)["findings"] if found["severity"] == "error"]


def test_a_bundle_gives_staves_and_a_cask_that_stands_again_gives_none(shop: Shop) -> None:
    assert take(TAKER, 4, 50)[0] == 0
    assert enter("raise", DONOR, "--staves", "26", ago=40)[0] == 0
    code, said = take(OTHER, 3, 30)
    assert code == 1 and f"`from` is {DONOR}: it was not broken up on {days_ago(30)}" in said, said
    assert take(OTHER, 1, 50)[0] == 1, "26 of the 30 went into the cask that was raised, four are given already"
    assert errors() == []
    assert "TH-004217" in caskbook("report", "parts", "--donors").stdout


@pytest.mark.parametrize(("staves", "spare"), [(30, 0), (22, 8), (21, 9)])
def test_a_cask_that_is_raised_from_staves_that_went_to_others_is_told(shop: Shop, staves: int, spare: int) -> None:
    assert take(TAKER, 9, 50)[0] == 0
    _, said = enter("raise", DONOR, "--staves", str(staves), ago=40)
    fits = spare == 9
    assert (f"`from` is {DONOR}: 9 staves taken of it in all, but {spare} to spare of its bundle, from {days_ago(60)} on" in said) is not fits, said
    assert errors() == ([] if fits else ["donor-out-of-staves"])


def test_a_bundle_does_not_give_more_than_it_has(shop: Shop) -> None:
    assert take(TAKER, 20, 50)[0] == 0
    code, said = take(OTHER, 11, 49)
    assert code == 1 and f"31 staves taken of it in all, but 30 to spare of its bundle, from {days_ago(60)} on" in said, said
    assert take(OTHER, 10, 49)[0] == 0 and errors() == []


def test_a_bundle_that_is_broken_up_has_what_was_counted_then(shop: Shop) -> None:
    assert take(TAKER, 5, 50)[0] == 0
    assert enter("retire", DONOR, "--reasons", "worn", "--approved-by", "ab", ago=45)[0] == 0
    assert enter("break-up", DONOR, "--staves-saved", "20", ago=40)[0] == 0 and errors() == []
    assert take(OTHER, 21, 30)[0] == 1
    assert take(OTHER, 20, 30)[0] == 0 and errors() == []


def test_what_is_written_by_hand_is_told_too(shop: Shop) -> None:
    shop.put(
        {"date": days_ago(90), "job": "receive", "verdict": "accept"},
        {"date": days_ago(60), "job": "knock-down", "staves": 30},
        {"date": days_ago(40), "job": "raise", "staves": 30},
        cask=DONOR,
    )
    opened = ({"date": days_ago(90), "job": "receive", "verdict": "accept"}, {"date": days_ago(80), "job": "open", "heads": ["A", "B"]})
    shop.put(*opened, {"date": days_ago(50), "job": "stave", "staves": [1], "action": "replace", "from": DONOR}, cask=TAKER)
    shop.put(*opened, {"date": days_ago(30), "job": "stave", "staves": [1], "action": "replace", "from": DONOR}, cask=OTHER)
    assert set(errors()) == {"donor-out-of-staves", "donor-not-broken-up"}
    assert set(errors(TAKER)) == {"donor-out-of-staves"} and set(errors(OTHER)) == {"donor-not-broken-up"}


def test_a_bundle_that_came_as_one_gives_staves_and_one_that_left_gives_none(shop: Shop) -> None:
    shop.put({"date": days_ago(90), "job": "receive", "form": "shook", "verdict": "accept"}, cask=DONOR)
    assert take(TAKER, 3, 50)[0] == 0
    assert enter("dispose", DONOR, "--how", "sold", ago=45)[0] == 0
    assert take(OTHER, 3, 40)[0] == 1 and errors() == []


def test_a_bundle_has_two_heads(shop: Shop) -> None:
    assert enter("head", TAKER, "--head", "A", "replace", "--mark", "x", "--from", DONOR, ago=50)[0] == 0
    assert enter("head", TAKER, "--head", "B", "replace", "--from", DONOR, ago=50)[0] == 0
    code, said = enter("head", OTHER, "--head", "A", "replace", "--mark", "x", "--from", DONOR, ago=49)
    assert code == 1 and "3 heads taken of it in all, but 2 to spare of its bundle" in said, said
    assert errors() == []


def test_a_shop_raises_what_it_knocked_down(shop: Shop) -> None:
    shop.put(
        {"date": days_ago(90), "job": "receive", "verdict": "accept"},
        {"date": days_ago(60), "job": "send", "to": "shop-north", "why": "new staves"},
        cask=OTHER,
    )
    for words, ago in ((("knock-down", "--staves", "30"), 50), (("raise", "--staves", "30"), 45)):
        done = caskbook("enter", words[0], OTHER, *words[1:], "--date", str(days_ago(ago)), "--by", "shop-north", "--yes")
        assert done.returncode == 0, done.stderr
    assert errors() == []
