"""A real terminal for the tests of what is asked and typed there."""

from __future__ import annotations

import os
import re
import sys
import time

import pexpect
from entry.shop import Shop

CODES = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


class Terminal:
    """A terminal of 80 columns that says where its cursor is, as real ones do; `keys` counts what a hand typed."""

    def __init__(self, shop: Shop, *words: str, **env: str) -> None:
        given = {**os.environ, "TERM": "xterm", "CASKBOOK_STATE": str(shop.root.parent / "state"), **env}
        given.pop("CASKBOOK_BY", None)
        self.child = pexpect.spawn(
            sys.executable, ["-m", "caskbook", *words, "--records", str(shop.root)], env=given, encoding="utf-8", timeout=30, dimensions=(24, 80), echo=False
        )  # type: ignore[arg-type]
        self.child.delaybeforesend = None
        self.seen, self.keys = "", 0

    def wait(self, text: str, seconds: float = 30) -> str:
        """Read until the text was shown, codes aside; what was shown since the text of the last wait."""
        end = time.monotonic() + seconds
        while text not in (plain := CODES.sub("", self.seen)):
            assert time.monotonic() < end, f"{text!r} was not shown: {plain[-900:]!r}"
            try:
                came = self.child.read_nonblocking(4096, 0.05)
            except pexpect.TIMEOUT:
                continue
            except pexpect.EOF:
                assert text in CODES.sub("", self.seen), CODES.sub("", self.seen)[-900:]
                break
            for _ in range(came.count("\x1b[6n")):
                self.child.send("\x1b[5;1R")
            self.seen += came
        shown, self.raw = CODES.sub("", self.seen), self.seen
        self.seen = self.seen[self._end(text) :]
        return shown

    def _end(self, text: str) -> int:
        """Where the text ends in what was seen, codes counted: what came in one piece with it is left for the next wait."""
        return next(n for n in range(len(text), len(self.seen) + 1) if text in CODES.sub("", self.seen[:n]))

    def hand(self, keys: str) -> None:
        """Keys of a hand, each by itself."""
        for key in keys:
            self.child.send(key)
            self.keys += 1
            time.sleep(0.002)

    def scanner(self, number: str) -> None:
        """What a scanner sends: all at once, and Enter."""
        self.child.send(number + "\r")

    def ended(self) -> int:
        """The exit code."""
        end = time.monotonic() + 30
        while self.child.isalive() and time.monotonic() < end:
            try:
                came = self.child.read_nonblocking(4096, 0.05)
                self.seen += came
                for _ in range(came.count("\x1b[6n")):
                    self.child.send("\x1b[5;1R")
            except (pexpect.TIMEOUT, pexpect.EOF):
                time.sleep(0.02)
        self.child.close()
        return self.child.exitstatus if self.child.exitstatus is not None else -int(self.child.signalstatus or 0)
