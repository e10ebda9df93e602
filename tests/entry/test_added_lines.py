"""What git shows of an entry is added lines, in hand-made files too; and one entry touches one file."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from caskbook.ledger.files import Folder
from caskbook.yaml.insertion import new_document
from entry.shop import CASK, HEAD, Shop
from entry.states import STATES

READY = STATES["ready"] or []
UGLY = {
    "comments": "# our first\ncask: TH-004217   # the old one\nformat: 1\n\ntype: barrel\n\nevents:\n  # came in the snow\n  - id: e0000001\n    date: 2020-01-01\n    job: receive\n    verdict: accept  # dented\n\n  # looked over\n  - id: e0000002\n    date: 2020-01-02\n    job: examine\n    verdict: sound\n  # last word\n# tail of the file\n",
    "other indents": "cask: TH-004217\nformat: 1\ntype: barrel\nevents:\n- id:   e0000001\n  date: 2020-01-01\n  job: receive\n  verdict: accept\n-   id: e0000002\n    date: 2020-01-02\n    job: examine\n    verdict: sound\n",
    "crlf": "cask: TH-004217\r\nformat: 1\r\ntype: barrel\r\nevents:\r\n  - id: e0000001\r\n    date: 2020-01-01\r\n    job: receive\r\n    verdict: accept\r\n",
    "braces": "cask: TH-004217\nformat: 1\ntype: barrel\nevents:\n  - {id: e0000001, date: 2020-01-01, job: receive, verdict: accept}\n  - {id: e0000002, date: 2020-01-02,\n     job: examine, verdict: sound}\n",
    "blank lines": "cask: TH-004217\nformat: 1\ntype: barrel\n\n\nevents:\n\n  - id: e0000001\n    date: 2020-01-01\n    job: receive\n    verdict: accept\n\n  - id: e0000002\n    date: 2020-01-02\n    job: examine\n    verdict: sound\n\n\n",
}
CHANGED = {
    "no final newline": (
        "cask: TH-004217\nformat: 1\ntype: barrel\nevents:\n  - id: e0000001\n    date: 2020-01-01\n    job: receive\n    verdict: accept",
        "no newline",
    ),
    "empty list": ("cask: TH-004217\nformat: 1\ntype: barrel\nevents: []\n", "loses `[]`"),
    "flow list": ("cask: TH-004217\nformat: 1\ntype: barrel\nevents: [{id: e0000001, date: 2020-01-01, job: receive, verdict: accept}]\n", "stand in one line"),
}


def git(root: Path, *words: str) -> str:
    return subprocess.run(
        ["git", "-C", str(root), "-c", "user.name=x", "-c", "user.email=x@y", "-c", "core.autocrlf=false", *words], check=True, capture_output=True, text=True
    ).stdout


def committed(shop: Shop, text: str) -> Path:
    root = shop.root.parent
    git(root, "init", "-q")
    path = shop.put()
    path.write_bytes(text.encode())
    git(root, "add", "-A")
    git(root, "commit", "-qm", "x")
    return root


def removed(root: Path) -> list[str]:
    return [line for line in git(root, "diff").splitlines() if line.startswith("-") and not line.startswith("---")]


@pytest.mark.thorough
@pytest.mark.parametrize("kind", UGLY)
def test_only_added_lines_in_a_hand_made_file(shop: Shop, kind: str) -> None:
    root = committed(shop, UGLY[kind])
    for words in (
        ["test", CASK, "pass", "--psi", "11"],
        ["note", CASK, "--note", "late: one", "--date", "2020-01-01", "--yes"],
        ["shave+char", CASK, "flail", "--level", "3"],
    ):
        ran = shop.enter(*words)
        assert ran.code == 0, ran.err
    assert removed(root) == []
    assert [event["job"] for event in shop.data()["events"]] == ["receive", "note", *(["examine"] if kind != "crlf" else []), "test", "open", "shave", "char"]


@pytest.mark.parametrize("kind", CHANGED)
def test_the_three_exceptions_change_one_line_and_are_named(shop: Shop, kind: str) -> None:
    text, told = CHANGED[kind]
    root = committed(shop, text)
    ran = shop.enter("receive" if kind == "empty list" else "note", CASK, *(["accept"] if kind == "empty list" else ["--note", "x"]))
    assert ran.code == 0 and told in ran.err, ran.err
    assert len(removed(root)) == 1


def test_one_entry_reads_and_writes_one_file(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where an index tells which numbers go on as others; else every file is looked through for that."""
    for number in range(4200, 4240):
        shop.put(*READY, cask=f"TH-{number:06d}")
    monkeypatch.delenv("CASKBOOK_INDEX", raising=False)
    assert caskbook("due", "--records", str(shop.root)).returncode == 0
    stamps = {path: path.stat().st_mtime_ns for path in shop.root.rglob("*.yaml")}
    seen: list[str] = []
    plain = Folder.read

    def read(self: Folder, name: str) -> bytes | None:
        seen.append(name)
        return plain(self, name)

    monkeypatch.setattr(Folder, "read", read)
    monkeypatch.setattr(Folder, "names", lambda self: pytest.fail("the folder of casks was listed"))
    assert shop.enter("test", CASK, "pass", "--psi", "11").code == 0
    assert set(seen) == {"house.yaml", f"casks/TH-004/{CASK}.yaml"}
    assert [path.stem for path, was in stamps.items() if path.stat().st_mtime_ns != was] == [CASK]


WORK = [
    ["examine", CASK, "sound"], ["test", CASK, "pass", "--psi", "11"], ["test", CASK, "fail", "--psi", "11", "--leaks", "joint-3"], ["drive", CASK],
    ["shave+char", CASK, "flail", "--level", "3"], ["stave", CASK, "replace", "--staves", "1", "--from", "new"], ["nose", CASK, "clean"],
    ["fill", CASK, "--spirit", "malt", "--litres", "190", "--abv", "63", "--at-20", "--anyway", "--why", "x"],
    ["empty", CASK, "--litres", "180", "--abv", "60"], ["leak", CASK, "weep", "--at", "joint-3"], ["look", CASK, "dry"], ["move", CASK, "--berth", "Y2"],
    ["send", CASK, "--to", "shop-north", "--why", "x"], ["return", CASK, "accept"], ["hold", CASK, "--why", "x"], ["note", CASK, "--note", "x"],
    ["examine", CASK, "repair", "--findings", "stave-1 cracked 2"], ["flag", CASK, "--at", "joint-3"], ["close", CASK, "--heads", "both"],
]  # fmt: skip


@pytest.mark.thorough
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.sampled_from(WORK), st.integers(0, 8)), max_size=9))
def test_entered_one_by_one_equals_read_at_once(shop: Shop, work: list[tuple[list[str], int]]) -> None:
    path = shop.put(*READY)
    for words, back in work:
        before = path.read_bytes()
        ran = shop.enter(*words, "--date", f"-{back}")
        assert ran.code in (0, 1), ran.err
        if ran.code:
            assert path.read_bytes() == before
    events = shop.data()["events"]
    assert [(str(event["date"]), event["id"]) for event in events] == sorted((str(event["date"]), event["id"]) for event in events)
    one_by_one = shop.facts().as_dict()
    path.write_bytes(new_document({"cask": CASK, **HEAD}, events))
    assert shop.facts().as_dict() == one_by_one
