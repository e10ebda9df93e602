"""`due` of some casks: named in any way, by the filters of `list`, in another order, and told cask by cask."""

from __future__ import annotations

import json
import sys
from io import StringIO
from pathlib import Path

import pytest
from commands import caskbook
from history.ledgers import EXAMINED, HOUSE, RECEIVED, TESTED, cask, event, ledger
from index.book import DAY, make_demo
from laws import others_thorough

pytestmark = pytest.mark.thorough

FILTERS = (
    ("--store", "racked four"),
    ("--store", "racked four", "--store", "burn dunnage", "--type", "barrel"),
    ("--berth", "R4", "--berth", "D"),
    ("--supplier", "northquay", "--spirit", "malt"),
    ("--parcel", "P-2008-000d"),
)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("demo") / "book", 120)


def asked(demo: Path, *words: str) -> list[dict]:
    done = caskbook("due", *words, "--format", "json", "--records", str(demo), "--as-of", DAY)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def numbers(demo: Path, *words: str) -> list[str]:
    done = caskbook("list", *words, "--format", "json", "--columns", "cask", "--records", str(demo), "--as-of", DAY)
    return [row["cask"] for row in json.loads(done.stdout)]


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
@pytest.mark.parametrize("words", others_thorough(FILTERS, 2))
def test_a_filter_takes_the_casks_that_list_takes(demo: Path, words: tuple[str, ...], index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    casks = numbers(demo, *words)
    assert casks or "--parcel" in words
    whole = asked(demo, "--all")
    assert asked(demo, "--all", *words) == [verdict for verdict in whole if verdict["cask"] in casks]


@pytest.mark.thorough
def test_the_head_counts_matters_casks_and_what_they_are_taken_from(demo: Path) -> None:
    text = caskbook("due", "--store", "racked four", "--soon", "--records", str(demo), "--as-of", DAY).stdout.split("\n")[0]
    casks, found = numbers(demo, "--store", "racked four"), asked(demo, "--store", "racked four")
    judged = {verdict["cask"] for verdict in asked(demo, "--store", "racked four", "--all")}
    assert judged <= set(casks)
    on = len({verdict["cask"] for verdict in found})
    assert text.startswith(f"due on {DAY} · only store racked four · {len(found)} matters on {on} of {len(judged)} casks · "), text


@pytest.mark.thorough
def test_a_cask_with_several_matters_is_counted_once() -> None:
    found = json.loads(caskbook("due", "--as-of", "2026-11-25", "--format", "json").stdout)
    casks = {verdict["cask"] for verdict in found}
    assert len(casks) < len(found)
    assert f" · {len(found)} matters on {len(casks)} of " in caskbook("due", "--as-of", "2026-11-25").stdout.split("\n")[0]


def test_casks_come_from_a_list_a_range_and_standard_input(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    casks = numbers(demo)[3:9]
    (tmp_path / "some.txt").write_text("\n".join(casks[:4]), encoding="utf-8")
    wanted = [verdict for verdict in asked(demo, "--all") if verdict["cask"] in casks]
    monkeypatch.setattr(sys, "stdin", StringIO(" ".join(casks[4:])))
    assert asked(demo, f"file:{tmp_path / 'some.txt'}", "-", "--all") == wanted
    assert asked(demo, f"{casks[0]}..{casks[-1]}", "--all", "examine") == [verdict for verdict in wanted if verdict["rule"] == "examine"]


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("day.csv", "date;job;cask;result\n;test;{0};pass\n;look;{1} {2};\n;look;;\n;test;{0};fail\n"),
        ("day.yaml", "date: 2020-01-02\njobs:\n  - {{job: test, cask: {0}}}\n  - {{job: look, cask: '{1}..{2}'}}\n"),
        ("list.csv", "\ufeffCask,type\n{0},barrel\n{1},butt\n{2},butt\n"),
    ],
)
def test_casks_come_from_a_sheet_of_any_kind(demo: Path, tmp_path: Path, name: str, text: str) -> None:
    first, second, third = numbers(demo)[4:7]
    (tmp_path / name).write_text(text.format(first, second, third), encoding="utf-8")
    wanted = [verdict for verdict in asked(demo, "--all") if verdict["cask"] in (first, second, third)]
    assert asked(demo, f"file:{tmp_path / name}", "--all") == wanted
    assert numbers(demo, f"file:{tmp_path / name}") == [first, second, third]


def test_what_list_writes_as_csv_is_read_again(demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written = caskbook("list", "--type", "butt", "--format", "csv", "--records", str(demo), "--as-of", DAY).stdout
    monkeypatch.setattr(sys, "stdin", StringIO(written))
    butts = numbers(demo, "--type", "butt")
    assert asked(demo, "-", "--all") == [verdict for verdict in asked(demo, "--all") if verdict["cask"] in butts]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("job,cask\nlook,\n", "standard input: no row names a cask"),
        ("job,cask,cask\nlook,TH-1,TH-2\n", "standard input:1: two columns are called cask"),
        ('job,cask\nlook,"TH-000001\n', "standard input: no CSV: "),
    ],
)
def test_a_sheet_without_casks_is_one_line(demo: Path, text: str, said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", StringIO(text))
    done = caskbook("due", "-", "--records", str(demo))
    assert done.returncode == 2 and said in done.stderr and done.stderr.count("\n") == 1


@pytest.mark.parametrize(
    ("keys", "key", "backwards"),
    [("cask", "cask", False), ("-since", "since", True), ("rule,-cask", "rule", False), ("type,berth", "type", False)],
)
def test_it_can_be_sorted(demo: Path, keys: str, key: str, backwards: bool) -> None:
    found, whole = asked(demo, "--sort", keys, "--soon"), asked(demo, "--soon")
    assert sorted(map(str, found)) == sorted(map(str, whole))
    known = [verdict[key] for verdict in found if verdict[key] is not None]
    assert known == sorted(known, reverse=backwards)
    assert all(verdict[key] is None for verdict in found[len(known) :])


def test_berths_are_sorted_as_one_walks(demo: Path) -> None:
    berths = [verdict["berth"] for verdict in asked(demo, "--sort", "berth", "--all") if (verdict["berth"] or "").startswith("R4/")]
    parts = [[int(part) for part in berth.split("/")[1:]] for berth in berths]
    assert parts == sorted(parts) and any(len(str(part)) > 1 for row in parts for part in row)


@pytest.mark.parametrize("form", ["json", "csv"])
def test_by_cask_loses_and_doubles_nothing(demo: Path, form: str) -> None:
    whole = asked(demo, "--all")
    if form == "csv":
        rows = caskbook("due", "--all", "--by-cask", "--format", "csv", "--records", str(demo), "--as-of", DAY).stdout.splitlines()
        plain = caskbook("due", "--all", "--format", "csv", "--records", str(demo), "--as-of", DAY).stdout.splitlines()
        assert sorted(rows) == sorted(plain)
        casks = [row.split(",")[0] for row in rows[1:]]
        assert [cask for at, cask in enumerate(casks) if at and casks[at - 1] != cask] == list(dict.fromkeys(casks))[1:]
        return
    found = json.loads(caskbook("due", "--all", "--by-cask", "--format", "json", "--records", str(demo), "--as-of", DAY).stdout)
    told = [{**{key: one[key] for key in ("cask", "type", "berth")}, **verdict} for one in found for verdict in one["verdicts"]]
    for verdict in told:
        verdict.pop("for_nothing")
    assert sorted(map(repr, (sorted(v.items()) for v in told))) == sorted(map(repr, (sorted(v.items()) for v in whole)))
    assert [one["cask"] for one in found] == list(dict.fromkeys(verdict["cask"] for verdict in whole))


SPENT = cask(
    RECEIVED,
    EXAMINED,
    TESTED,
    event("dtcw0000", "2015-04-02", "measure", "stave_mm: 15"),
    cask_id="TH-000001",
).replace("fills: 1", "fills: 6")
SOUND = cask(RECEIVED, EXAMINED, TESTED, cask_id="TH-000002").replace("fills: 1", "fills: 6")


def test_what_is_for_nothing_is_folded_under_a_proposed_retirement(tmp_path: Path) -> None:
    """Both have fills enough to be charred again and were tested long ago; the staves of the first are too thin to go on."""
    repo = ledger(tmp_path)
    repo.house(HOUSE + "fill_needs: test\n")
    repo.write(SPENT, "TH-000001")
    repo.write(SOUND, "TH-000002")
    found = json.loads(caskbook("due", "--by-cask", "--format", "json", "--soon", cwd=repo.top).stdout)
    told = {one["cask"]: {v["rule"]: (v["verdict"], v["for_nothing"]) for v in one["verdicts"]} for one in found}
    assert told["TH-000001"]["retire"] == ("due", False) and told["TH-000001"]["examine"] == ("due", False)
    assert told["TH-000001"]["rechar"] == ("blocked", True) and told["TH-000001"]["retest"] == ("due", True)
    assert told["TH-000002"]["rechar"] == ("due", False) and told["TH-000002"]["retest"] == ("due", False)
    text = caskbook("due", "TH-000001", "TH-000002", "--by-cask", "--sort", "cask", cwd=repo.top).stdout
    first, second = text.split("2  TH-000002")
    assert first.count("\n   for nothing if it is retired: retest, rechar blocked\n") == 1, first
    assert "\n   retest" not in first and "\n   rechar" not in first and "\n   retire  since 2015-04-02" in first
    assert "for nothing" not in second and "\n   rechar" in second


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--sort", "brth"), "--sort brth: expected cask, type, berth, rule, verdict or since; did you mean berth?"),
        (("TH-999999",), "TH-999999 is not in the book"),
        (("file:none.txt",), "none.txt: no such file"),
        (("--type", "barel"), "--type: "),
    ],
)
def test_what_cannot_be_asked_is_one_line(demo: Path, words: tuple[str, ...], said: str) -> None:
    done = caskbook("due", *words, "--records", str(demo))
    assert done.returncode == 2 and said in done.stderr and done.stdout == "", done.stderr


def test_a_filter_that_nothing_passes_is_hinted(demo: Path) -> None:
    done = caskbook("due", "--store", "Racked Four", "--supplier", "none", "--records", str(demo))
    assert done.returncode == 0 and "no cask here fits --store Racked Four --supplier none; did you mean racked four?" in done.stderr
    assert "nothing due on 0 casks" in done.stdout
    done = caskbook("due", "--store", "xyzzy", "--records", str(demo))
    assert "no cask here fits --store xyzzy; capitals and small letters count" in done.stderr


def test_an_alarm_over_no_cask_is_not_quiet(demo: Path) -> None:
    where = ("--records", str(demo))
    assert caskbook("due", "--store", "xyzzy", "--fail-if-any", *where).returncode == 1
    quiet = caskbook("due", "claim", "--store", "racked four", "--fail-if-any", *where)
    assert quiet.returncode == 0 and "nothing due on 0 casks" not in quiet.stdout
    assert caskbook("due", "--store", "xyzzy", *where).returncode == 0
