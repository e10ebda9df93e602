"""Histories of any shape, made by git in one process: each commit names its parents and all its files."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from history.ledgers import HOUSE, Repo

ATTRIBUTES = "records/casks/**/*.yaml merge=caskbook -text\nrecords/house.yaml merge=caskbook -text\n"
BESIDE = {"records/house.yaml": HOUSE, ".gitattributes": ATTRIBUTES}


@dataclass
class Graph:
    """A repository whose commits are told one by one and written together; a commit is known by its place."""

    top: Path
    commits: list[tuple[tuple[int, ...], dict[str, str], str, dict[str, str]]] = field(default_factory=list)
    names: list[str] = field(default_factory=list)

    def add(self, files: Mapping[str, str], *parents: int, author: str = "Tester", modes: Mapping[str, str] | None = None) -> int:
        """One more commit that holds exactly these files beside house.yaml and the attributes; its place."""
        self.commits.append((parents, {**BESIDE, **files}, author, dict(modes or {})))
        return len(self.commits) - 1

    def write(self) -> Repo:
        """Has git make all of it; the last commit is main."""
        repo = Repo(self.top)
        marks = self.top / ".git" / "marks"
        _git(self.top, "fast-import", "--quiet", "--force", f"--export-marks={marks}", data=self._stream())
        by_mark = dict(line.split() for line in marks.read_text().splitlines())
        self.names = [by_mark[f":{n + 1}"] for n in range(len(self.commits))]
        (self.top / "records").mkdir(exist_ok=True)  # nothing is checked out: only objects are read
        return repo

    def _stream(self) -> bytes:
        out: list[bytes] = []
        for n, (parents, files, author, modes) in enumerate(self.commits):
            when = 1700000000 + 86400 * n
            out.append(
                f"commit refs/heads/c{n}\nmark :{n + 1}\nauthor {author} <t@example.org> {when} +0000\ncommitter Tester <t@example.org> {when} +0000\ndata 1\nw\n".encode()
            )
            out += [f"{'merge' if place else 'from'} :{parent + 1}\n".encode() for place, parent in enumerate(parents)]
            out.append(b"deleteall\n")
            for path, text in files.items():
                data = text.encode()
                out.append(f"M {modes.get(path, '100644')} inline {path}\ndata {len(data)}\n".encode() + data + b"\n")
        return b"".join([*out, f"reset refs/heads/main\nfrom :{len(self.commits)}\n\n".encode()])


def _git(top: Path, *args: str, data: bytes | None = None) -> None:
    env = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")} | {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"}
    done = subprocess.run(["git", *args], cwd=top, input=data, capture_output=True, env=env, check=False)
    assert done.returncode == 0, done.stderr


def chain(top: Path, *texts: str | Mapping[str, str]) -> Graph:
    """One commit after the other; a plain text is that of cask TH-004217."""
    graph = Graph(top)
    for n, files in enumerate(texts):
        graph.add({"records/casks/TH-004/TH-004217.yaml": files} if isinstance(files, str) else files, *([n - 1] if n else []))
    return graph


def told(codes: Sequence[object]) -> list[str]:
    """The codes of findings."""
    return [getattr(one, "code", "") for one in codes]
