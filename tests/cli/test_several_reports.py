"""Reports of several ledgers: every figure worked out over the rows of all, counted again by readers of the files of their own; what cannot be is refused."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from index.book import make_demo
from scipy.stats import binomtest
from stats import test_leaks_reread, test_parts_reread, test_service_reread, test_suppliers_reread
from two_ledgers import DAY, Two, asked, rename, small

pytestmark = pytest.mark.thorough

YEAR = 365.2425


@pytest.fixture(scope="module")
def demos(tmp_path_factory: pytest.TempPathFactory) -> Two:
    folder = tmp_path_factory.mktemp("demos")
    for name, house, casks, seed in (("north", "North", 200, 20), ("south", "South Side", 150, 21)):
        rename(make_demo(folder / name, casks, seed), house)
    return Two(folder / "north", folder / "south", {})


def roots(two: Two) -> dict[str, Path]:
    return {"North": two.north, "South-Side": two.south}


def report(*words: str) -> dict[str, Any]:
    found = json.loads(asked("report", *words, "--format", "json"))
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize("by", ["supplier", "ledger"])
def test_first_tests_are_counted_over_all_and_their_interval_is_that_of_the_pooled_count(demos: Two, by: str) -> None:
    read = report("suppliers", "--by", by, *demos.words)
    named: dict[str, Counter[str]] = {}
    for ledger, root in roots(demos).items():
        for cask in test_suppliers_reread.reread(root, DAY):
            if cask.receipt is not None:
                counts = named.setdefault(ledger if by == "ledger" else str(cask.head.get("supplier") or "?"), Counter())
                counts.update(received=1, found=cask.found(), tested=bool(cask.first_test), failed=cask.first_test == "fail")
    keys = ("received", "found", "tested", "failed")
    assert {row["name"]: {key: row[key] for key in keys} for row in read["groups"]} == {name: {key: one[key] for key in keys} for name, one in named.items()}
    whole = read["total"][0]
    theirs = binomtest(sum(one["failed"] for one in named.values()), sum(one["tested"] for one in named.values())).proportion_ci(method="wilson")
    assert (whole["failed_lower"], whole["failed_upper"]) == (pytest.approx(theirs.low, abs=1e-6), pytest.approx(theirs.high, abs=1e-6))
    assert sum(row["failed"] for row in read["months"]) == whole["failed"] >= 3
    assert {name: one["casks"] for name, one in read["ledgers"].items()} == {"North": 200, "South-Side": 150}


def test_casks_and_parcels_of_the_claims_stand_behind_their_ledger(demos: Two) -> None:
    day = max(str(cask.receipt["date"]) for cask in test_suppliers_reread.reread(demos.south, DAY) if cask.receipt)
    words = ("report", "suppliers", "--claims", "--format", "json", "--as-of", day)
    whole = json.loads(caskbook(*words, *demos.words).stdout)["claims"]
    expected = []
    for ledger, root in roots(demos).items():
        for one in json.loads(caskbook(*words, "--records", str(root)).stdout)["claims"]:
            numbers = {key: [f"{ledger}:{cask}" for cask in one[key]] for key in ("unexamined", "found_not_decided")}
            expected.append({**one, **numbers, "parcel": f"{ledger}:{one['parcel']}"})
    assert sorted(whole, key=json.dumps) == sorted(expected, key=json.dumps) and whole


def test_claim_days_that_differ_are_told_of_each_and_peers_that_differ_are_refused(demos: Two, tmp_path: Path) -> None:
    one = small(tmp_path / "a", "One", "suppliers: {ash: {name: Ash, claim_days: 10}, oak: {name: Oak, claim_days: 5}}\ndue: {claim: {days: 20}}\n")
    two = small(tmp_path / "b", "Two", "suppliers: {ash: {name: Ash, claim_days: 14}}\ndue: {claim: {days: 25}}\n")
    settings = report("suppliers", "--records", str(one), "--records", str(two))["settings"]
    assert settings["claim_days"] == {"One:ash": 10, "Two:ash": 14, "oak": 5} and settings["due.claim.days"] == {"One": 20, "Two": 25}
    three = small(tmp_path / "c", "Three", "due: {loss: {fewest_peers: 9}}\n")
    done = caskbook("report", "suppliers", "--records", str(one), "--records", str(three))
    assert (done.returncode, done.stdout) == (2, "") and "due.loss.fewest_peers is not the same in all" in done.stderr


@pytest.mark.parametrize("by", ["store", "ledger"])
def test_leaks_and_cask_years_are_those_of_the_files_of_all(demos: Two, by: str) -> None:
    read = report("leaks", "--by", by, *demos.words)
    days, found = Counter[str](), Counter[str]()
    for ledger, root in roots(demos).items():
        for cask in test_leaks_reread.reread(root, DAY):
            for store, count in cask.days.items():
                days[f"{ledger}:{store}" if by == "store" else ledger] += count
            found.update(f"{ledger}:{leak['store']}" if by == "store" else ledger for leak in cask.leaks)
    assert {row["name"]: (row["leaks"], round(row["cask_years"] * YEAR)) for row in read["groups"] if row["cask_years"]} == {
        name: (found[name], count) for name, count in days.items() if count
    }
    total = read["total"][0]
    assert (total["leaks"], round(total["cask_years"] * YEAR)) == (found.total(), days.total()) and total["leaks"] > 9
    assert sum(row["found"] for row in read["months"]) == found.total()


def test_open_leaks_name_their_ledger_and_places_narrow_all(demos: Two) -> None:
    words = ("report", "leaks", "--open", "--format", "json", "--as-of", "2020-04-20")
    told = [one["cask"] for one in json.loads(caskbook(*words, *demos.words).stdout)["open"]]
    own = [f"{name}:{one['cask']}" for name, root in roots(demos).items() for one in json.loads(caskbook(*words, "--records", str(root)).stdout)["open"]]
    assert sorted(told) == sorted(own)
    whole = report("leaks", "--store", "low dunnage", *demos.words)["total"][0]
    parts = [report("leaks", "--store", "low dunnage", "--records", str(root))["total"][0] for root in roots(demos).values()]
    assert whole["leaks"] == sum(part["leaks"] for part in parts) and whole["cask_years"] == pytest.approx(sum(part["cask_years"] for part in parts), abs=1e-5)


def test_parts_replaced_and_their_years_are_those_of_the_files_of_all(demos: Two) -> None:
    casks = [cask for root in roots(demos).values() for cask in test_parts_reread.reread(root, DAY)]
    read = report("parts", "--by", "position", *demos.words)
    days = sum((cask.end - cask.start).days for cask in casks)
    assert (read["watched"], round(read["cask_years"] * YEAR)) == (len(casks), days)
    counts = Counter(name for cask in casks for name, _, followed in cask.replaced if followed and (cask.staves or name in ("stave 1", "head A", "head B")))
    rows = {row["name"]: row["replaced"] for row in read["replaced"]}
    assert rows["bung stave"] == counts["stave 1"] > 3
    assert {name: rows[name] for name in ("head A", "head B")} == {name: counts[name] for name in ("head A", "head B")}


def test_donors_are_those_of_the_files_each_behind_its_ledger(demos: Two) -> None:
    mine = Counter(
        (f"{ledger}:{source}", f"{ledger}:{cask.cask}", name.split()[0])
        for ledger, root in roots(demos).items()
        for cask in test_parts_reread.reread(root, DAY)
        for name, source, _ in cask.replaced
        if "-" in source
    )
    read = report("parts", "--donors", *demos.words)
    assert {(row["giver"], row["taker"], row["kind"]): row["count"] for row in read["gifts"] if row["kind"] != "made-from"} == mine and mine
    assert all(row["state"] is not None for row in read["givers"])


def test_the_same_place_again_is_a_share_of_all_repairs(demos: Two) -> None:
    def total(*words: str) -> dict[str, Any]:
        (one,) = (row for row in report("parts", *words)["all_places"] if row["name"] == "all")
        assert isinstance(one, dict)
        return one

    whole, parts = total(*demos.words), [total("--records", str(root)) for root in roots(demos).values()]
    assert [whole[key] for key in ("again", "followed")] == [sum(part[key] for part in parts) for key in ("again", "followed")]
    theirs = binomtest(whole["again"], whole["followed"]).proportion_ci(method="wilson")
    assert (whole["lower"], whole["upper"]) == (pytest.approx(theirs.low, abs=1e-6), pytest.approx(theirs.high, abs=1e-6))


@pytest.mark.parametrize("what", ["char", "cask"])
def test_ends_and_those_at_risk_of_a_curve_are_those_of_the_files_of_all(demos: Two, what: str) -> None:
    spans = sum((test_service_reread.kept(root, DAY, what) for root in roots(demos).values()), Counter())
    if what == "char":
        assert spans == Counter(span for root in roots(demos).values() for cask in test_service_reread.reread(root, DAY) for span in cask.chars())
    told = report("service", what, *demos.words)
    whole = told["accounts"][0]["whole"]
    if what == "char":
        watched = Counter(kind for (entry, last, kind), count in spans.items() if entry < last for _ in range(count))
        assert (whole["ends"], whole["censored"]) == ({kind: count for kind, count in watched.items() if kind}, watched[""])
        first = whole["steps"][0]
        assert first["at_risk"] == sum(n for (entry, last, _), n in spans.items() if entry / YEAR < first["time"] <= last / YEAR + 1e-6)
    by = report("service", what, "--by", "ledger", *demos.words)["accounts"][0]
    parts = [report("service", what, "--records", str(root))["accounts"][0]["whole"] for root in roots(demos).values()]
    assert {one["name"]: one["watched"] for one in by["groups"]} == {name: part["watched"] for name, part in zip(roots(demos), parts, strict=True)}
    assert whole["watched"] == sum(part["watched"] for part in parts)


def test_stores_of_service_are_of_one_house(demos: Two) -> None:
    groups = {one["name"]: one["watched"] for one in report("service", "cask", "--by", "store", *demos.words)["accounts"][0]["groups"]}
    for ledger, root in roots(demos).items():
        own = {one["name"]: one["watched"] for one in report("service", "cask", "--by", "store", "--records", str(root))["accounts"][0]["groups"]}
        assert {name.partition(":")[2]: n for name, n in groups.items() if name.startswith(f"{ledger}:")} == {n: c for n, c in own.items() if n != "?"}
    narrowed = report("service", "cask", "--store", "low dunnage", *demos.words)["accounts"][0]["whole"]["watched"]
    assert narrowed == sum(n for name, n in groups.items() if name.endswith(":low dunnage")) > 0


def test_one_ledger_has_no_group_of_ledgers(demos: Two) -> None:
    for kind in (("suppliers",), ("leaks",), ("service", "char")):
        done = caskbook("report", *kind, "--by", "ledger", "--records", str(demos.north))
        assert done.returncode == 2 and "--by ledger: expected" in done.stderr, kind
        assert "ledgers" not in report(*kind, "--records", str(demos.north))


@pytest.mark.parametrize("kind", ["loss", "retirement", "outlook"])
def test_what_is_of_one_house_alone_is_refused_in_a_sentence(demos: Two, kind: str) -> None:
    done = caskbook("report", kind, *demos.words)
    assert (done.returncode, done.stdout, done.stderr.count("\n")) == (2, "", 1)
    assert f"report {kind} in 2 ledgers: " in done.stderr and "ask each ledger by itself" in done.stderr


def test_filters_that_fit_in_one_ledger_are_no_fault_of_the_other(demos: Two, tmp_path: Path) -> None:
    new = small(tmp_path / "new", "New")
    for kind in (("suppliers",), ("leaks",), ("parts",), ("service", "cask")):
        done = caskbook("report", *kind, "--type", "barrel", "--records", str(demos.north), "--records", str(new), "--as-of", DAY)
        assert done.returncode == 0 and "no cask here fits" not in done.stderr, done.stderr
        done = caskbook("report", *kind, "--supplier", "nobody", *demos.words, "--as-of", DAY)
        assert done.stderr.count("no cask here fits") == 1, done.stderr


def test_houses_on_two_days_have_to_be_asked_of_one(tmp_path: Path) -> None:
    words = []
    for name, zone in (("East", "Pacific/Kiritimati"), ("West", "Pacific/Pago_Pago")):
        root = small(tmp_path / name, name)
        (root / "house.yaml").write_text(f"name: {name}\ntimezone: {zone}\n", encoding="utf-8")
        words += ["--records", str(root)]
    for kind in (("suppliers",), ("service",)):
        done = caskbook("report", *kind, *words)
        assert done.returncode == 2 and "the houses are not on one day" in done.stderr and "say which with --as-of" in done.stderr
        assert caskbook("report", *kind, *words, "--as-of", DAY).returncode == 0
