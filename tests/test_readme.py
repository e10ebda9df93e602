"""The README's commands print what it shows, and every command is in it. `pytest tests/test_readme.py --golden` writes it anew."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from datetime import UTC, datetime
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.cli import common

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
TUESDAY = """\
enter test TH-003372 pass --psi 11 --by ab --date 2026-11-24 --yes
enter shave+char TH-003377 --method flail --level 3 --seconds 40 --by kd --date 2026-11-24 --yes
enter look TH-004402 drip --by rs --date 2026-11-24 --yes
enter nose TH-004390 fault --faults acetic --by rs --date 2026-11-23 --yes
enter stave TH-003374 replace --staves 17,18 --from TH-004404 --by ab --date 2026-11-24 --yes
"""
_BLOCK = re.compile(r"```console\n(.*?)```", re.S)
_DAY_BLOCK = re.compile(r"```(?:yaml\n.*?|console\n(.*?))```", re.S)
FIRST_DAY = "### Your first day"
_MINTED = re.compile(r"(?<=^\+  - id: )[0-9a-z]+|(?<=^TH-\d{6}  )[0-9a-z]{8,}(?=  \d{4}-)", re.M)


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The shipped ledger in a repository of its own, on the afternoon of the README's day."""
    monkeypatch.setattr(common, "clock", lambda: datetime(2026, 11, 25, 14, 0, tzinfo=UTC))
    shutil.copytree(ROOT / "records", tmp_path / "records", ignore=shutil.ignore_patterns(".caskbook", ".pending"))
    shutil.copytree(ROOT / "schemas", tmp_path / "schemas")
    two_days(tmp_path)
    return tmp_path


def two_days(book: Path) -> None:
    """A repository with two tags, a Tuesday's work between them; the work tree stands at Monday's again."""

    def git(*words: str) -> None:
        names = ["-c", "user.name=ab", "-c", "user.email=ab@example.org", "-c", "commit.gpgsign=false"]
        subprocess.run(["git", *names, *words], cwd=book, check=True, capture_output=True)

    git("init", "-q", "-b", "main")
    git("add", "-A")
    git("commit", "-qm", "bench, Monday")
    git("tag", "bench-monday")
    for line in TUESDAY.splitlines():
        assert caskbook(*shlex.split(line), cwd=book).returncode == 0, line
    git("add", "-A")
    git("commit", "-qm", "bench, Tuesday")
    git("tag", "bench-tuesday")
    git("checkout", "-q", "bench-monday")


def ran(block: str, book: Path) -> str:
    """The block with each command followed by what it prints now."""
    lines = []
    for line in block.splitlines():
        if line.startswith("$ caskbook "):
            words = shlex.split(line)[2:]
            done = caskbook(*words, cwd=book, terminal=words[0] != "enter")
            lines += [line, *(done.stderr + done.stdout).rstrip("\n").splitlines()]
        elif line.startswith("$ git "):
            out = subprocess.run(shlex.split(line)[1:], cwd=book, check=True, capture_output=True, text=True).stdout
            lines += [line, *out.rstrip("\n").splitlines()]
    return "\n".join(one.rstrip() for one in lines) + "\n"


def renewed(text: str, book: Path) -> str:
    """The text with what the commands print now; those of the first day run in a folder of their own, one after the other."""
    begin = text.index(FIRST_DAY)
    end = text.index("\n### ", begin)
    day = book / "first-day"
    day.mkdir(exist_ok=True)

    def block(found: re.Match[str]) -> str:
        if found[0].startswith("```yaml"):
            edited(day / "records" / "house.yaml", found[0].split("\n", 1)[1].removesuffix("```"))
            return found[0]
        return f"```console\n{ran(found[1], day)}```"

    return _in_book(text[:begin], book) + _DAY_BLOCK.sub(block, text[begin:end]) + _in_book(text[end:], book)


def edited(house: Path, text: str) -> None:
    """What somebody does in an editor: crew and stores are put in the place of what stands there."""
    crew, stores = text.split("stores:")
    was = house.read_text(encoding="utf-8")
    now = re.sub(r"^crew:\n  - .*\n", lambda _: crew, was, count=1, flags=re.M).replace("#stores: {}\n", f"stores:{stores}")
    assert crew in now and f"stores:{stores}" in now
    house.write_text(now, encoding="utf-8")


def _in_book(text: str, book: Path) -> str:
    return _BLOCK.sub(lambda found: f"```console\n{ran(found[1], book)}```", text)


def with_known_ids(now: str, text: str) -> str:
    """What the commands print now; a block that is otherwise as it was keeps its minted ids, which then stand for the new ones everywhere."""
    old, new = _BLOCK.findall(text), _BLOCK.findall(now)
    same = {n for n, (was, now_is) in enumerate(zip(old, new, strict=True)) if unminted(was) == unminted(now_is)}
    known = {minted: word for n in same for word, minted in zip(_MINTED.findall(old[n]), _MINTED.findall(new[n]), strict=True)}
    blocks = iter(range(len(new)))

    def block(found: re.Match[str]) -> str:
        n = next(blocks)
        return found[0].replace(found[1], old[n] if n in same else _MINTED.sub(lambda one: known.get(one[0], one[0]), found[1]))

    return _BLOCK.sub(block, now)


def unminted(text: str) -> str:
    """Ids minted while the command ran, and the names git gives to what holds them, are different each time."""
    text = re.sub(r"(?<=\+  - id: )[0-9a-z]+", "ID", text)
    text = re.sub(r"^(TH-\d+  )[0-9a-z]+(?=  \d{4}-)", r"\1ID", text, flags=re.M)
    text = re.sub(r"^committed [0-9a-f]{10}:", "committed ID:", text, flags=re.M)
    text = re.sub(r"(?<=sheet )(run-\d{8}-[a-z]+-)[0-9a-z]{4}", r"\1ID", text)
    return re.sub(r"^index [0-9a-f]+\.\.[0-9a-f]+", "index A..B", text, flags=re.M)


def test_the_tour_prints_what_it_shows(book: Path, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    text = README.read_text(encoding="utf-8")
    now = renewed(text, book)
    if request.config.getoption("--golden"):
        README.write_text(with_known_ids(now, text), encoding="utf-8")
    else:
        assert unminted(now) == unminted(text)


def test_an_id_minted_anew_is_written_only_where_the_block_changed() -> None:
    was = "```console\n$ caskbook due\n24 due\n```\n```console\n$ caskbook enter\nTH-003372  gqwkm1ey  2026-11-24  test\n```\n```console\n+  - id: gqwkm1ey\nold\n```\n"
    now = was.replace("24 due", "38 due").replace("gqwkm1ey", "gqzzzzzz").replace("old", "new")
    assert with_known_ids(now, was) == was.replace("24 due", "38 due").replace("old", "new")


def test_every_command_is_in_the_readme() -> None:
    listed = re.findall(r"^  ([a-z-]+)  ", caskbook("--help").stdout.split("Commands:")[1], re.M)
    assert len(listed) >= 15
    text = README.read_text(encoding="utf-8")
    missing = [name for name in listed if not re.search(rf"\b{name}\b", text)]
    assert not missing
