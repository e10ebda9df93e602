"""The wood that findings ask for, and the way along the casks."""

from __future__ import annotations

import pytest

from caskbook.life.carried import Defect
from caskbook.words.faults import DEFECT
from caskbook.words.job_table import JOB_TABLE
from caskbook.words.repairs import mended_by, part_wanted
from caskbook.work.job import Job
from caskbook.work.route import route
from caskbook.work.wood import parts_wanted


def found(*told: str) -> dict[str, int]:
    return dict(parts_wanted(Defect(*one.split(), severity=2, event="e0000001", seq=1) for one in told))  # type: ignore[misc]


@pytest.mark.parametrize(
    ("told", "wanted"),
    [
        (["stave-14 cracked", "stave-15 porous-stave"], {"stave": 2}),
        (["stave-14 cracked", "stave-14 thin"], {"stave": 1}),
        (["croze-A-14 broken", "stave-14 cracked", "chime-B-14 broken"], {"stave": 1}),
        (["head-A-2 cracked", "head-B woodworm"], {"head piece": 2}),
        (["bung bung-stave-crack"], {"stave": 1}),
        (["hoop-A-1 missing-hoop", "hoop-B-3 burst-hoop", "hoop-B-2 loose-hoop"], {"hoop": 2}),
        (["joint-3 leak", "joint-4 joint-leak", "croze-A-2 croze-leak", "stave-2 musty", "stave-3 iron-stain", "head-A sprung-head", "stave-9 peg"], {}),
    ],
)
def test_wood_is_wanted_once_a_place_and_none_for_a_weep(told: list[str], wanted: dict[str, int]) -> None:
    assert found(*told) == wanted


def test_every_defect_of_the_trade_is_mended_by_a_job_of_the_book() -> None:
    for defect in DEFECT.words:
        for place in ("stave-1", "joint-1", "bung", "head-A", "head-A-2", "head-A-joint-1", "croze-A-3", "chime-B", "hoop-A-1", "unseen"):
            assert JOB_TABLE[mended_by(defect, place)].turn, (defect, place)
            part = part_wanted(defect, place)
            assert part is None or mended_by(defect, place) in ("stave", "head", "hoop"), (defect, place)


def test_a_crack_is_mended_at_its_part_and_a_weep_by_driving() -> None:
    assert [mended_by("cracked", at) for at in ("stave-3", "head-B-1", "joint-2", "bung")] == ["stave", "head", "stave", "stave"]
    assert [mended_by(word, "joint-3") for word in ("leak", "musty", "residue", "dried-out")] == ["drive", "treat", "treat", "soak"]


def stop(cask: str, berth: str | None, store: str | None, job: str = "test", turn: int = 10) -> Job:
    return Job(cask, "barrel", berth, store, job, "r", "test", None, None, 1, turn)


def test_the_way_goes_by_store_as_the_house_has_them_and_numbers_count_as_numbers() -> None:
    stores = {"W3": "warehouse 3", "W1": "warehouse 1"}
    jobs = [
        stop("TH-000001", "W1/2/10", "warehouse 1"), stop("TH-000002", "W1/2/9", "warehouse 1"), stop("TH-000003", "W1/10/1", "warehouse 1"),
        stop("TH-000004", None, None), stop("TH-000005", "W3/1/1", "warehouse 3"), stop("TH-000006", "X9", None), stop("TH-000007", "W1/2/9", "warehouse 1"),
        stop("TH-000002", "W1/2/9", "warehouse 1", "nose", 2),
    ]  # fmt: skip
    found = route(jobs, stores)
    assert [one.cask[-1] for one in found] == ["5", "2", "7", "1", "3", "6", "4"]
    assert found[1].jobs == ("nose", "test"), "a cask once, its jobs in the order of the bench"
