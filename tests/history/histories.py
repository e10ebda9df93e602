"""Random histories of a cask: a common past, and what two to four machines each added to it."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import strategies as st

from caskbook.yaml.segments import read_layout
from history.ledgers import EXAMINED, HEAD, RECEIVED, TESTED

_BODIES = (
    "    job: note\n    note: seen\n",
    "    job: note\n    note: 'it said: no'\n",
    "    job: nose\n    verdict: clean\n",
    "    job: test\n    psi: 11\n    result: pass\n",
    "    job: test\n    psi: 10.5\n    result: fail\n    leaks: [{at: joint-1}]\n",
    "    job: examine\n    verdict: repair\n    findings:\n      - {at: stave-1, defect: cracked, severity: 2}\n",
    "    job: void\n    of: dsy3jpj0\n    why: wrong cask\n",
    "    job: move\n    berth: W1/2/3\n    # from the yard\n",
    "    job: fill\n    spirit: malt\n    litres: 198.4\n    abv: 63.5\n    at_20: true\n",
)
_FOLDED = "    job: note\n    note: >-\n      in several\n      lines\n"
_FIRST = date(2015, 3, 12)
_DIGITS = "0123456789abcdefghjkmnpqrstvwxyz"


@st.composite
def events(draw: st.DrawFn, bodies: tuple[str, ...] = _BODIES) -> tuple[str, str, str]:
    """(date, id, text) of one event; the comment above it is its own."""
    day = (_FIRST + timedelta(days=draw(st.integers(8, 4000)))).isoformat()
    event_id = "g" + "".join(draw(st.lists(st.sampled_from(_DIGITS), min_size=7, max_size=7)))
    remark = draw(st.sampled_from(["", "", "", "  # by lamp light\n", "  # two\n  # lines\n"]))
    body = draw(st.sampled_from(bodies))
    return day, event_id, f"{remark}  - id: {event_id}\n    date: {day}\n    by: ab\n{body}"


def _written(head: str, listed: list[tuple[str, str, str]], gap: str) -> str:
    first = [("2015-03-12", "dsy3jphz", RECEIVED), ("2015-03-12", "dsy3jpj0", EXAMINED), ("2015-03-20", "dt3q62s1", TESTED)]
    texts = [text for _, _, text in sorted(first + listed)]
    return head + gap.join(texts)


@st.composite
def machines(draw: st.DrawFn, most: int) -> tuple[str, list[str]]:
    """A common file and its version on each of two to `most` machines, each having only added."""
    count = draw(st.integers(2, most))
    gap = draw(st.sampled_from(["", "\n"]))
    drawn = draw(st.lists(events(), max_size=12, unique_by=lambda one: one[1]))
    owners = [draw(st.integers(0, count)) for _ in drawn]
    common = [one for one, owner in zip(drawn, owners, strict=True) if owner == count]
    head = HEAD.format(cask="TH-004217")
    added = draw(st.lists(st.sampled_from(["owner: house\n", "parcel: P-1\n", "maker: Fenwick Hollow\n", "wood: mizunara\n"]), max_size=count, unique=True))
    sides = []
    for n in range(count):
        own = head.replace("events:\n", (added[n] if n < len(added) else "") + "events:\n")
        sides.append(_written(own, common + [one for one, owner in zip(drawn, owners, strict=True) if owner == n], gap))
    return _written(head, common, gap), sides


@st.composite
def histories(draw: st.DrawFn) -> str:
    """One file, now and then with lines a person might have put in by hand."""
    listed = draw(st.lists(events((*_BODIES, _FOLDED)), max_size=6, unique_by=lambda one: one[1]))
    text = _written(HEAD.format(cask="TH-004217"), listed, draw(st.sampled_from(["", "\n"])))
    lines = text.split("\n")
    for _ in range(draw(st.integers(0, 2))):
        at = draw(st.integers(0, len(lines)))
        lines.insert(at, draw(st.sampled_from(_ODD)))
    return draw(st.sampled_from(["\n", "\n", "\r\n"])).join(lines)


_ODD = (
    "", "  ", "# remark", "  # remark", "    # remark", "      # deep", "    x: 1", "  x: 1", "    note: a # b", "    note: a#b", "    note: 'it''s'",
    '    note: "a b"', '    note: "a\\n"', "    note: [a, b]", "    note: {a: b}", "    note: |", "    note: - a", "    note: a: b", "      more words",
    "    note:", "  - id: gzzzzzzz", "  -  id: gzzzzzzy", "- id: gzzzzzzx", "x: 1", "---", "%YAML 1.1", "    note: &a b", "    note: *a", "    note: !x y",
    "    ? x", "    note: 'open", '    note: "open', "    note: yes", "    note: 2015-02-30", "    when: 12:30", "    note: ~", "    a-b: -1", "    n: -", "\t",
    "    note: a\tb", "    n: .5", "    n: 1e5", "    n: 0x1f", "    'q': 1", "    n: @x", "    n: `x", "    n: a:", "    n: a,b", "    n: ]",
)  # fmt: skip


def kept(text: str, *, in_order: bool = False) -> list[str]:
    """The ids of a file, sorted, or in the order of the file."""
    ids = [str(part.key) for part in read_layout(text)[0].events]
    return ids if in_order else sorted(ids)
