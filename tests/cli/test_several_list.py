"""`list` of several ledgers: rows of all, each with its ledger; what is no ledger, or one twice, is refused."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from commands import caskbook
from index.book import commit_all
from two_ledgers import DAY, Two, asked, csv_rows, files_of, rename, rows, small
from two_ledgers import both as both
from two_ledgers import demos as demos


def refused(*words: str) -> str:
    done = caskbook(*words)
    assert (done.returncode, done.stdout) == (2, ""), done
    return done.stderr


def test_every_cask_of_each_ledger_stands_once_with_its_facts_as_the_second_fold_tells_them(both: Two) -> None:
    listed = {(row["ledger"], row["cask"]): row for row in rows("list", *both.words)}
    expected = {(name, cask): facts for name, casks in both.facts.items() for cask, facts in casks.items()}
    assert listed.keys() == expected.keys()
    assert len({cask for _, cask in expected}) < len(expected), "the same numbers stand in both"
    for key, facts in expected.items():
        for fact in ("state", "type", "fills", "fills_since_char", "contents", "whereabouts", "berth"):
            if fact in facts:
                assert listed[key][fact] == facts[fact], (key, fact)


def test_counts_at_the_foot_are_of_all_and_of_each(both: Two) -> None:
    of = {name: (sum(one.get("state") == "filled" for one in casks.values()), len(casks)) for name, casks in both.facts.items()}
    some, whole = (sum(pair[n] for pair in of.values()) for n in (0, 1))
    assert 0 < some < whole
    text = asked("list", *both.words, "--state", "filled")
    assert text.split("\n")[0].startswith("ledger ")
    foot = [line.split() for line in text.rstrip().split("\n")[-3:]]
    assert foot == [
        [str(some), "of", str(whole), "casks", "in", "2", "ledgers"],
        *([name, str(of[name][0]), "of", str(of[name][1]), "casks"] for name in ("North", "South-Side")),
    ]


@pytest.mark.thorough
def test_heads_of_two_demos_are_those_of_the_files(demos: Two) -> None:
    files = {("North", name): data for name, data in files_of(demos.north).items()} | {
        ("South-Side", name): data for name, data in files_of(demos.south).items()
    }
    listed = {(row["ledger"], row["cask"]): row["supplier"] for row in csv_rows("list", *demos.words, "--columns", "cask,supplier")}
    assert len(listed) == 100 and listed == {key: (data.get("supplier") or "") for key, data in files.items()}


@pytest.mark.thorough
def test_each_form_has_the_same_rows_and_one_ledger_alone_has_no_such_column(demos: Two) -> None:
    words = ("list", *demos.words, "--state", "filled", "--sort", "-fills")
    told = [(row["ledger"], row["cask"]) for row in rows(*words)]
    assert told == [(row["ledger"], row["cask"]) for row in csv_rows(*words)]
    assert told == [(row["ledger"], row["cask"]) for row in map(json.loads, asked(*words, "--format", "jsonl").splitlines())]
    fills = [row["fills"] for row in rows(*words)]
    assert fills == sorted(fills, reverse=True) and len({ledger for ledger, _ in told}) == 2
    alone = rows("list", "--records", str(demos.north), "--state", "filled")
    assert "ledger" not in alone[0] and {row["cask"] for row in alone} == {cask for ledger, cask in told if ledger == "North"}


@pytest.mark.thorough
def test_columns_and_conditions_may_name_the_ledger(demos: Two) -> None:
    found = csv_rows("list", *demos.words, "--columns", "cask,ledger", "--where", "ledger = 'South-Side'", "--sort", "-ledger")
    assert list(found[0]) == ["cask", "ledger"] and {row["ledger"] for row in found} == {"South-Side"} and len(found) == 40


@pytest.mark.thorough
def test_columns_compare_as_they_do_in_one_ledger(demos: Two) -> None:
    many = [row["cask"] for row in csv_rows("list", *demos.words, "--where", "fills > '3' and capacity_l < '300'") if row["ledger"] == "North"]
    assert many == [row["cask"] for row in csv_rows("list", "--records", str(demos.north), "--where", "fills > '3' and capacity_l < '300'")] and many


def test_casks_that_are_named_come_from_whichever_ledger_has_them(both: Two) -> None:
    north, south = (both.facts[name] for name in ("North", "South-Side"))
    shared, alone = next(cask for cask in north if cask in south), next(cask for cask in north if cask not in south)
    found = [(row["ledger"], row["cask"]) for row in csv_rows("list", shared, alone, *both.words)]
    assert sorted(found) == sorted([("North", shared), ("South-Side", shared), ("North", alone)])
    assert refused("list", "TH-999999", *both.words) == "caskbook: TH-999999 is in none of the 2 ledgers: North, South-Side\n"
    assert "except in 2 ledgers: name the casks" in refused("list", "7001..7009", "except", "7003", *both.words)


def test_a_short_name_that_a_ledger_does_not_know_is_said_of_it(both: Two) -> None:
    alone = next(cask for cask in both.facts["North"] if cask not in both.facts["South-Side"])
    done = caskbook("list", alone[3:], *both.words, "--as-of", DAY, "--format", "csv")
    assert done.returncode == 0 and f"North,{alone}," in done.stdout and done.stdout.count("\n") == 2
    assert [line for line in done.stderr.splitlines() if line.startswith(f"South-Side: no number of the book ends in {alone[3:]}")], done.stderr


@pytest.mark.thorough
def test_a_filter_that_nothing_passes_is_told_once_with_what_any_ledger_has(demos: Two) -> None:
    store = next(row["store"] for row in rows("list", *demos.words, "--where", "store IS NOT NULL"))
    done = caskbook("list", "--store", store.upper(), *demos.words, "--as-of", DAY)
    assert done.returncode == 0 and done.stdout.startswith("0 of 100 casks in 2 ledgers\n")
    assert done.stderr.count("no cask here fits") == 1 and f"did you mean {store}?" in done.stderr


def test_one_folder_named_twice_is_refused_also_through_a_link(tmp_path: Path) -> None:
    root, link = small(tmp_path / "a", "North"), tmp_path / "b"
    link.symlink_to(root)
    assert "are one folder, whose casks would count twice" in refused("list", "--records", str(root), "--records", str(link))
    assert "are one folder" in refused("list", "--records", str(root), "--records", f"{root}/.")
    alone = caskbook("list", "--records", str(root), "--records", str(root))
    assert (alone.returncode, alone.stdout) == (0, "0 casks\n"), "the same word twice is one"


def test_houses_of_one_name_are_refused_with_what_to_do(tmp_path: Path) -> None:
    words = ("list", "--records", str(small(tmp_path / "a", "North")), "--records", str(small(tmp_path / "b", "North")))
    assert refused(*words).endswith("are both called North: give each house a `name` of its own in house.yaml\n")
    rename(tmp_path / "b", "South")
    assert asked(*words) == "0 of 0 casks in 2 ledgers\n  North  0 of 0 casks\n  South  0 of 0 casks\n"


def test_every_ledger_that_is_none_is_named(tmp_path: Path) -> None:
    said = refused("list", "--records", str(small(tmp_path / "a", "North")), "--records", f"{tmp_path}/x", "--records", f"{tmp_path}/y")
    assert f"{tmp_path}/x: no house.yaml there" in said and f"{tmp_path}/y: no house.yaml there" in said
    (tmp_path / "x" / "house.yaml").mkdir(parents=True)
    assert "not an ordinary file" in refused("list", "--records", str(tmp_path / "a"), "--records", f"{tmp_path}/x")


def test_a_house_that_cannot_be_read_is_called_by_its_folder_and_said(tmp_path: Path) -> None:
    small(tmp_path / "a", "North"), small(tmp_path / "torn", "Other")
    (tmp_path / "torn" / "house.yaml").write_text("name: [never\n", encoding="utf-8")
    done = caskbook("list", "--records", str(tmp_path / "a"), "--records", str(tmp_path / "torn"), "--as-of", DAY)
    assert done.returncode == 0 and "\n  torn   0 of 0 casks" in done.stdout
    assert done.stderr.startswith("caskbook: torn: ") or done.stderr.startswith("torn: ")
    assert f"caskbook check --records {tmp_path / 'torn'}" in done.stderr


def test_a_ledger_within_another_is_one_of_its_own_but_not_among_its_casks(tmp_path: Path) -> None:
    outer = small(tmp_path / "outer", "Outer")
    inner, among = small(outer / "inner", "Inner"), small(outer / "casks" / "deep", "Deep")
    assert "\n  Inner  0 of 0 casks" in asked("list", "--records", str(outer), "--records", str(inner))
    assert "lies among the casks of a ledger" in refused("list", "--records", str(outer), "--records", str(among))


def test_a_revision_is_refused(both: Two) -> None:
    assert "a revision is of one repository" in refused("list", "--at", "HEAD", *both.words)


def test_what_a_ledger_leaves_out_is_said_in_its_name(both: Two, tmp_path: Path) -> None:
    root = small(tmp_path / "odd", "Odd")
    (root / "casks" / "TH-001").mkdir()
    (root / "casks" / "TH-001" / "TH-001001.yaml").write_text("cask: [\n", encoding="utf-8")
    done = caskbook("list", "--records", str(both.north), "--records", str(root), "--as-of", DAY)
    assert done.returncode == 0 and f"Odd: 1 file left out: caskbook check --records {root}\n" in done.stderr


@pytest.mark.parametrize(
    "words", [("check",), ("enter", "test", "TH-000001", "pass"), ("bench",), ("export", "x"), ("review",), ("undo",), ("sheet", "--for", "test")]
)
def test_commands_on_one_ledger_refuse_two(both: Two, words: tuple[str, ...]) -> None:
    said = refused(*words, *both.words)
    assert "--records is given twice" in said and "list, due, show, query and most reports take several" in said


@pytest.mark.thorough
def test_what_is_saved_names_every_house_at_its_foot(demos: Two, tmp_path: Path) -> None:
    done = caskbook("list", *demos.words, "--state", "filled", "--save", str(tmp_path / "filled.html"), "--as-of", DAY)
    page = (tmp_path / "filled.html").read_text(encoding="utf-8")
    assert done.returncode == 0 and "<footer>North, South Side · printed " in page
    saved = caskbook("list", *demos.words, "--state", "filled", "--save", str(tmp_path / "filled.csv"), "--as-of", DAY)
    assert saved.returncode == 0 and (tmp_path / "filled.csv").read_bytes().decode() == asked("list", *demos.words, "--state", "filled", "--format", "csv")


@pytest.mark.thorough
def test_casks_that_are_gone_from_one_ledger_are_told_though_the_other_has_rows(demos: Two, tmp_path: Path) -> None:
    gone = tmp_path / "gone"
    shutil.copytree(demos.south, gone, ignore=shutil.ignore_patterns(".caskbook"))
    rename(gone, "Gone")
    commit_all(gone)
    shutil.rmtree(gone / "casks")
    words = ("--records", str(demos.north), "--records", str(gone), "--as-of", DAY)
    for command in (("list",), ("due",), ("query", "SELECT count(*) FROM cask"), ("report", "stock"), ("report", "leaks"), ("report", "service")):
        done = caskbook(*command, *words)
        assert done.returncode == 0 and [line for line in done.stderr.splitlines() if line.startswith("Gone: no casks folder")], (command, done.stderr)
    done = caskbook("show", next(iter(files_of(demos.south))), *words)
    assert done.returncode == 2 and "Gone: " in done.stderr and done.stdout.startswith("North\n")
