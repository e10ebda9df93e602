"""Whatever happened, possible or not, can be drawn within its width."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any

from casks import ev
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many
from rich.cells import cell_len

from caskbook.life.facts import facts_of
from caskbook.render.card import card
from caskbook.render.cask_map import cask_map
from caskbook.render.facts_json import facts_json
from caskbook.render.time_line import long_line, time_line
from render.lives import life_of

JOBS: list[tuple[str, dict[str, Any]]] = [
    ("receive", {"verdict": "reject", "spirit": "malt"}), ("receive", {"verdict": "accept"}), ("raise", {"staves": 30}),
    ("examine", {"verdict": "repair", "findings": [{"at": "joint-31", "defect": "weep"}, {"at": "head-A-9", "defect": "cracked"}]}),
    ("examine", {"verdict": "sound", "soaked": 0.2}), ("nose", {"verdict": "fault"}), ("nose", {"verdict": "clean"}),
    ("test", {"psi": 11, "result": "pass"}), ("test", {"method": "water", "result": "fail", "leaks": [{"at": "unseen"}, {"at": "croze-A"}]}),
    ("drive", {}), ("hoop", {"hoops": ["B-3", "A-9"], "hoops_after": 8}), ("stave", {"staves": [1, "99"], "action": "replace", "from": "unknown"}),
    ("stave", {"staves": [2], "action": "turn", "staves_after": 12}), ("head", {"head": "A", "action": "replace", "mark": "x"}),
    ("head", {"head": "B", "action": "piece", "which": [1, 4], "from": "new", "pieces_after": 1}), ("flag", {"at": ["croze-A", "head-B-joint-4"]}),
    ("peg", {"at": "bung", "kind": "wax"}), ("bung", {"action": "moved", "to": 40}), ("open", {"heads": ["A"]}), ("close", {"heads": ["A", "B"]}),
    ("char", {"level": "house"}), ("toast", {"level": "light"}), ("season", {"wine": "port", "litres": 9}), ("sulphur", {"grams": 3, "why": "kept"}),
    ("measure", {"staves": 1, "heads": [1, 12], "hoops": 2}), ("fill", {"spirit": "malt", "litres": 190, "abv": 63}), ("empty", {"litres": 0}),
    ("rack-out", {"to": [{"cask": "TH-000002", "litres": 3}], "why": "leaks"}), ("rack-in", {"from": [{"cask": "TH-000002", "litres": 3}], "spirit": "grain", "oak_since": "unknown"}),
    ("top", {"litres": 2, "abv": 60}), ("leak", {"at": "chime-B-2", "severity": "run"}), ("look", {"seen": "dry"}), ("move", {"berth": "W1"}),
    ("send", {"to": "shop-x", "why": "heads"}), ("return", {"verdict": "hold"}), ("hold", {"why": "lid"}), ("retire", {"reasons": ["old"], "approved_by": "kd"}),
    ("break-up", {}), ("dispose", {"how": "lost"}), ("knock-down", {}), ("missing", {}), ("found", {}), ("convert", {"children": ["TH-000003"]}),
]  # fmt: skip
EVENTS = st.lists(st.tuples(st.sampled_from(JOBS), st.integers(0, 900)), max_size=25)


@settings(max_examples=many(150), deadline=None)
@given(EVENTS, st.booleans(), st.integers(40, 110))
def test_it_is_drawn(events: list[tuple[tuple[str, dict[str, Any]], int]], counted: bool, width: int) -> None:
    day, told = date(2004, 2, 29), []
    for (job, fields), days in events:
        day += timedelta(days=days)
        told.append(ev(day.isoformat(), job, **fields))
    head = {} if counted else {"staves": "absent", "heads": "absent", "hoops": "absent", "charred": "absent"}
    life = life_of(*told, **head)
    for text in (card(life, facts_of(life), (), width=width, all_events=True), time_line(life, width), long_line(life, width), cask_map(life, width=width)):
        assert all(cell_len(line) <= width for line in text.split("\n"))
    json.dumps(facts_json(life, facts_of(life)), allow_nan=False)
