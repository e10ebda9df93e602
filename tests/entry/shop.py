"""A small ledger on disk for tests of entering, and the commands run in it."""

from __future__ import annotations

import contextlib
import io
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml

from caskbook.checks import check_ledger
from caskbook.cli.common import house_today
from caskbook.core.finding import CaskbookError
from caskbook.ledger.files import Ledger, file_of, open_folder
from caskbook.life.facts import Facts, facts_of
from caskbook.model.cask import Cask
from caskbook.yaml.insertion import new_document

HOUSE = """\
name: North House
timezone: UTC
crew:
  - {initials: ab}
  - {initials: kd}
shops: [shop-north]
minimum_age: 3
"""
HEAD: dict[str, Any] = {
    "format": 1, "type": "barrel", "capacity_l": 200, "staves": 31, "heads": [5, 5], "hoops": 6,
    "prior": [{"contents": "bourbon", "fills": 1}], "charred": 2011,
}  # fmt: skip
CASK = "TH-004217"
# Another YAML reader than ours; the one in C where PyYAML has it, for most tests of entering read what they wrote.
OTHER_READER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass
class Ran:
    """What a command did: exit code, stdout, stderr."""

    code: int
    out: str
    err: str


def days_ago(count: int) -> date:
    """A day before today in the house."""
    from datetime import UTC, datetime

    return datetime.now(UTC).date() - timedelta(days=count)


class Shop:
    """A ledger in a folder."""

    def __init__(self, root: Path, house: str = HOUSE) -> None:
        self.root = root / "records"
        self.root.mkdir(parents=True)
        (self.root / "house.yaml").write_text(house, encoding="utf-8")

    def path(self, cask: str = CASK) -> Path:
        return self.root / file_of(cask)

    def put(self, *events: dict[str, Any], cask: str = CASK, **head: Any) -> Path:
        """Write a cask's file; events get ids in the order given where they have none."""
        numbered = [{"id": f"e{n:07d}", "by": "ab", **event} for n, event in enumerate(events, 1)]
        path = self.path(cask)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(new_document({"cask": cask, **HEAD, **head}, numbered) if numbered else new_document({"cask": cask, **HEAD, **head, "events": []}))
        return path

    def run(self, command: Any, *words: str) -> Ran:
        """Run a command of the line in this ledger: a fault of the call is code 2 and its one line."""
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                code = command([*words, "--records", str(self.root)])
            except CaskbookError as error:
                code = 2
                err.write(f"caskbook: {error}\n")
        return Ran(code, out.getvalue(), err.getvalue())

    def enter(self, *words: str) -> Ran:
        from caskbook.cli.commands.enter import run

        return self.run(run, *words)

    @property
    def ledger(self) -> Ledger:
        return open_folder(self.root, self.root.parent)

    @property
    def today(self) -> date:
        from datetime import UTC, datetime

        return house_today(self.ledger, datetime.now(UTC))

    def cask(self, cask: str = CASK) -> Cask:
        record = self.ledger.get(cask)
        assert record.cask is not None and not [f for f in record.findings if f.severity == "error"], record.findings
        return record.cask

    def data(self, cask: str = CASK) -> dict[str, Any]:
        """The file as another YAML reader reads it."""
        loaded = yaml.load(self.path(cask).read_bytes(), OTHER_READER)
        assert isinstance(loaded, dict)
        return loaded

    def last(self, cask: str = CASK) -> dict[str, Any]:
        found = self.data(cask)["events"][-1]
        assert isinstance(found, dict)
        return found

    def facts(self, cask: str = CASK) -> Facts:
        return facts_of(self.ledger.life_of(self.cask(cask), self.today))

    def codes(self, cask: str = CASK) -> list[str]:
        """Codes of what the check finds in the cask's file, notes aside."""
        name = file_of(cask)
        return [found.code for found in check_ledger(self.ledger, self.today, [name]).findings if found.severity != "note"]


def shop_with_index(index: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A shop, and the process in its folder, where an index is kept ("on") or is not ("off")."""
    shop = Shop(tmp_path)
    monkeypatch.chdir(shop.root)
    if index == "off":
        monkeypatch.setenv("CASKBOOK_INDEX", "off")
    else:
        monkeypatch.delenv("CASKBOOK_INDEX", raising=False)
    return shop
