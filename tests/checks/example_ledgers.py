"""The examples of explanations made into small ledgers, and checked."""

from __future__ import annotations

import os
import re
import subprocess
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from caskbook.checks import Report, check_ledger
from caskbook.core.finding import CaskbookError
from caskbook.ledger.files import Folder, Ledger, file_of

TODAY = date(2025, 1, 1)
HOUSE = 'name: "Example house"\n'
HOUSE_DEFAULTS = {"crew": "[{initials: ab}, {initials: kd}]", "shops": "[weir]", "timezone": "Europe/London"}
HEAD = """cask: {}
format: 1
type: barrel
capacity_l: 200
staves: 31
heads: [5, 5]
hoops: 6
prior:
  - {{contents: bourbon, fills: 1}}
charred: 2011
"""
PRELUDE = {
    "received": "job: receive, by: ab, verdict: accept",
    "examined": "job: examine, by: ab, verdict: sound",
    "opened": "job: open, by: ab, heads: [A, B]",
    "filled": "job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5, at_20: true",
}
_HEADER = re.compile(
    r"# ((?:\.\./)?house\.yaml|HEAD|\.\w+(?:/\S+)?|casks/\S+|[A-Z][A-Z0-9-]*-\d{4,9})(?: -> (\S+)| \((no permission|in git|bare|another repository|left out|above|gone|a pipe|overlooked|ignored)\))?"
)
_STEP = re.compile(r"(received|examined|opened|filled) (\d{4}-\d\d-\d\d)")


@dataclass
class Files:
    """What an example stands for: relative path → bytes; links; files that cannot be read."""

    texts: dict[str, bytes] = field(default_factory=dict)
    links: dict[str, str] = field(default_factory=dict)
    forbidden: set[str] = field(default_factory=set)
    by_git: dict[str, str] = field(default_factory=dict)


def files_of(example: str) -> Files:
    """The files of an example: blocks headed by a name, or the events of one cask."""
    files = Files()
    name, block = "TH-004217", []
    for line in [*example.splitlines(), "# TH-0000"]:
        header = _HEADER.fullmatch(line)
        if not header:
            block.append(line)
            continue
        if block:
            put(files, name, block)
        name, block = header[1], []
        if header[2]:
            files.links[name] = header[2]
        elif header[3] and header[3] != "no permission":
            files.by_git[name if "/" in name or name[0] == "." or name == "HEAD" else file_of(name)] = header[3]
        elif header[3]:
            files.forbidden.add(name)
            files.texts[name] = b"x"
    house = files.texts.pop("house.yaml", b"").decode()
    extra = "".join(f"{key}: {value}\n" for key, value in HOUSE_DEFAULTS.items() if f"{key}:" not in house)
    files.texts["house.yaml"] = (HOUSE + extra + house).encode()
    return files


def put(files: Files, name: str, block: list[str]) -> None:
    path = name if "/" in name or name == "house.yaml" else file_of(name)
    files.texts[path] = decoded(text_of(Path(path).stem, block) if path != "house.yaml" else "\n".join(block) + "\n")


def text_of(number: str, block: list[str]) -> str:
    events: list[str] = []
    if block and block[0].startswith("# ") and _STEP.search(block[0]):
        events = [f"- {{id: d{n:07d}, date: {day}, {PRELUDE[word]}}}" for n, (word, day) in enumerate(_STEP.findall(block[0]))]
        block = block[1:]
    if not block or block[0].startswith("- "):
        events += block
        head = HEAD if not any("job: made-from" in line for line in events) else HEAD.partition("prior:")[0]
        return head.format(number) + "events:\n" + "".join(f"  {line}\n" for line in events)
    return "\n".join(block) + "\n"


def decoded(text: str) -> bytes:
    if text == "# (nothing)\n":
        return b""
    for written, sign in ((r"\t", "\t"), (r"\r", "\r"), (r"\x1b", "\x1b"), (r"\ufeff", "\ufeff")):
        text = text.replace(written, sign)
    if "2,000,000 signs more" in text:
        text += "#" + "x" * 2_000_000 + "\n"
    return text.encode().replace(rb"\xff", b"\xff")


class Guarded(Folder):
    """A folder some of whose files cannot be read, whoever runs the test."""

    forbidden: set[str] = set()

    def read(self, name: str) -> bytes | None:
        if name in self.forbidden:
            raise CaskbookError("permission denied")
        return super().read(name)


def ledger_of(files: Files, root: Path) -> Ledger:
    if "above" in files.by_git.values():
        (root / "house.yaml").write_text("name: another\n")
        root = root / "records"
        root.mkdir()
    for name, data in files.texts.items():
        path = root / name.replace(r"\xff", "\udcff")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    for name, target in files.links.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.symlink_to(target)
    for name, what in files.by_git.items():
        carry_in(root, name, what)
    file_store = Guarded(root, "records/")
    file_store.forbidden = files.forbidden
    return Ledger(file_store)


def carry_in(root: Path, name: str, what: str) -> None:
    """Let git have a part in an example."""

    def git(*words: str) -> None:
        quiet = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"}
        subprocess.run(["git", *words], cwd=root, check=True, capture_output=True, env=os.environ | quiet)

    if what == "above":
        return
    if what == "a pipe":
        os.mkfifo(root / name)
        return
    if what == "bare":
        (root / "HEAD").write_text("ref: refs/heads/main\n")
        (root / "objects").mkdir()
        (root / "refs").mkdir()
        return
    git("init", "-q")
    if what == "ignored":
        (root / name).parent.mkdir(parents=True)
        (root / name).write_text("{cask: TH-004217, format: 1, type: barrel, events: []}\n")
        (root / ".gitignore").write_text("casks/\n")
    elif what == "another repository":
        (root / name).mkdir(parents=True)
        git("init", "-q", name)
    else:
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text("x")
        git("add", "-f", name)
        if what == "left out":
            (root / ".git" / "info").mkdir(exist_ok=True)
            (root / ".git" / "info" / "sparse-checkout").write_text("/*\n")
        if what in ("left out", "overlooked"):
            git("update-index", "--skip-worktree", name)
        (root / name).unlink()
        if what == "gone":
            (root / name).parent.rmdir()


def check_example(example: str, root: Path) -> Report:
    """The report on the ledger that an example stands for."""
    return check_ledger(ledger_of(files_of(example), root), TODAY)
