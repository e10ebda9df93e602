"""Rare forms are read as other readers of YAML read them, or are a finding; never silently otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from commands import caskbook
from ruamel.yaml import YAML

from caskbook.model.cask_file import read_record
from caskbook.yaml.fast import fast_data
from caskbook.yaml.source import Source
from caskbook.yaml.text import read_yaml

HEAD = "cask: TH-004217\nformat: 1\ntype: barrel\n"
FORMS = (
    "heads: [5,\n5]\n", "heads: [5\n,5]\n", "heads: [\n5,\n5\n]\n", "events: {}\n", "events: [\n]\n", "a: {b: 1,\nc: 2}\n", "a:\n  - [5,\n5]\n", "was: [old,\n\n# on the head\nnew]\n",
    "note: !<tag:yaml.org,2002:str> word\n", "note: !<tag:yaml.org,2002:str> 5\n", "heads: !<tag:yaml.org,2002:seq> [5, 5]\n", "was: [!!str word]\n", "was: [!<tag:yaml.org,2002:str> 5]\n",
    "note: !<tag:yaml.org,2002:int> '5'\n", "note: &a !<tag:yaml.org,2002:str> 5\n",
)  # fmt: skip


@pytest.mark.parametrize("text", FORMS)
def test_it_is_read_alike_or_is_a_finding(text: str) -> None:
    found = read_yaml(Source.from_bytes("x.yaml", text.encode()))
    told = {finding.code for finding in found.findings if finding.severity == "error"}
    theirs = [yaml.safe_load(text), YAML(typ="safe", pure=True).load(text)]
    assert told or all(found.data == data for data in theirs)
    assert ("!" in text) == ("yaml-tag" in told), told
    quick = fast_data(text.encode())
    assert quick is None or (quick == found.data and not found.findings)


def test_a_verbatim_tag_is_told_at_its_place() -> None:
    found = read_yaml(Source.from_bytes("x.yaml", b"note: !<tag:yaml.org,2002:str> 5\n"))
    (tag,) = [finding for finding in found.findings if finding.code == "yaml-tag"]
    assert (tag.span.line, tag.span.column) == (1, 7)


@pytest.mark.parametrize("fast", [True, False])
def test_a_map_in_the_place_of_the_events_is_an_error(fast: bool) -> None:
    record = read_record("casks/TH-004/TH-004217.yaml", (HEAD + "events: {}\n").encode(), fast=fast)
    assert [(finding.code, finding.span.line) for finding in record.findings] == [("wrong-type", 4)]


def test_check_tells_each_form_and_no_entry_is_lost(tmp_path: Path) -> None:
    folder = tmp_path / "casks" / "TH-004"
    folder.mkdir(parents=True)
    (tmp_path / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n")
    (folder / "TH-004217.yaml").write_text(HEAD + "events: {}\n")
    (folder / "TH-004218.yaml").write_text(HEAD.replace("7\n", "8\n", 1) + "heads: [5,\n5]\nnote: !<tag:yaml.org,2002:str> 5\nevents: []\n")
    (folder / "TH-004219.yaml").write_text(
        HEAD.replace("7\n", "9\n", 1) + "heads: [5,\n5]\nevents:\n  - {id: a0000000, date: 2020-01-01, job: receive, by: ab,\nverdict: accept}\n"
    )
    done = caskbook("check", "--records", str(tmp_path))
    assert done.returncode == 1 and "TH-004217.yaml:4" in done.stdout and "yaml-tag" in done.stdout and "TH-004219" not in done.stdout
    done = caskbook("enter", "note", "TH-004219", "--note", "seen", "--by", "ab", cwd=tmp_path)
    assert done.returncode == 0 and yaml.safe_load((folder / "TH-004219.yaml").read_text())["events"][0]["verdict"] == "accept"
