"""Whatever a file holds, a check ends with findings whose codes are explained, never with an exception."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from laws import many
from ruamel.yaml import YAML

from caskbook.checks import EXPLANATIONS, Context, check_cask
from caskbook.checks.context import View
from caskbook.checks.judged import tidied, view_of
from caskbook.checks.registry import RULES, rules_on
from caskbook.core.finding import Finding
from caskbook.life import live
from caskbook.model.cask_file import read_record
from caskbook.model.house import House
from caskbook.model.jobs import JOBS
from caskbook.render.findings import findings_text
from checks.test_check_planted import GOOD

HOUSE = House({"crew": [{"initials": "ab"}], "laws": ["scotch-2009", "bourbon-5.143"], "id_pattern": "TH-.*"})
TODAY = date(2025, 1, 1)
IDS = st.sampled_from([f"e100000{n}" for n in range(9)])
DAYS = st.dates(date(2019, 1, 1), date(2025, 6, 1))
ODD: Any = st.sampled_from([None, "x", -1, 1e9, [], {}, [{}], [{"at": "stave-99"}], "unknown", True, "2020-13-01"])
USUAL: dict[str, Any] = {
    "verdict": st.sampled_from(["accept", "sound", "repair", "clean", "fault", "hold", "reject"]), "litres": st.floats(0, 300),
    "abv": st.floats(20, 99), "spirit": st.sampled_from(["malt", "bourbon"]), "heads": st.sampled_from([["A"], ["B"], ["A", "B"]]),
    "of": IDS, "replaces": IDS, "closes": IDS, "why": st.just("so it was"), "by": st.sampled_from(["ab", "zz", "shop-x"]),
    "result": st.sampled_from(["pass", "fail"]), "psi": st.floats(1, 20), "leaks": st.just([{"at": "joint-3"}]), "seen": st.just("dry"),
    "staves": st.just([1, 40]), "action": st.sampled_from(["replace", "rejoint", "moved"]), "from": st.sampled_from(["new", "TH-000009"]),
    "at": st.sampled_from(["joint-4", ["joint-4"], "head-A"]), "severity": st.just("weep"), "level": st.just(3), "method": st.just("air"),
    "children": st.just(["TH-000009"]), "parents": st.just([{"cask": "TH-000009"}]), "to": st.just([{"cask": "TH-000009", "litres": 5}]),
    "oak_since": DAYS, "with": st.just("TH-000009"), "reasons": st.just(["old"]), "approved_by": st.just("kd"), "answers": st.lists(IDS, max_size=2) | IDS,
    "temp_c": st.floats(-20, 40), "berth": st.just("W1"), "note": st.just("seen"), "moved_from": st.just("TH-000009/e1000001"),
}  # fmt: skip


@st.composite
def events(draw: Any) -> dict[str, Any]:
    job = draw(st.sampled_from([*JOBS, *["fill", "empty", "examine", "void", "rack-in", "test"]]))
    event: dict[str, Any] = {"id": draw(IDS), "date": draw(DAYS), "job": job}
    for name, field in JOBS[job].model_fields.items():
        key = field.alias or name
        if key in USUAL and (field.is_required() or draw(st.integers(0, 3)) == 0):
            event[key] = draw(USUAL[key])
    if draw(st.integers(0, 4)) == 0:
        event[draw(st.sampled_from(sorted(event)))] = draw(ODD)
    return event


def found_in(data: dict[str, Any]) -> list[Finding]:
    from io import StringIO

    text = StringIO()
    YAML(typ="safe", pure=True).dump(data, text)
    record = read_record("casks/TH-004/TH-004217.yaml", text.getvalue().encode())
    cask = tidied(record)
    context = Context(HOUSE, TODAY, {"TH-000009": cask}.get, lambda number: number == "TH-000009")
    if cask is not None:
        left_out_rightly(view_of(record, live(cask, HOUSE, TODAY), context))
    return check_cask(record, live(cask, HOUSE, TODAY) if cask is not None else None, context)


def left_out_rightly(view: View) -> None:
    """Rules that are not asked of a file, for what does not occur in it, would have had nothing to say."""
    asked = rules_on(view.things)
    assert not [fault for rule in RULES if rule not in asked for fault in rule(view)]


def hold(listed: list[dict[str, Any]], head: dict[str, Any]) -> None:
    base = {"cask": "TH-004217", "format": 1, "type": "barrel", "staves": 31, "heads": [5, 5], "hoops": 6, **head}
    found = found_in({**base, "events": sorted(listed, key=lambda e: (str(e["date"]), str(e["id"])))})
    assert {one.code for one in found} <= set(EXPLANATIONS)
    assert len(set(found)) == len(found)
    assert [(f.span.line, f.span.column) for f in found] == sorted((f.span.line, f.span.column) for f in found)
    for one in found:
        assert one.severity == EXPLANATIONS[one.code].severity
        assert one.message and one.help and "\n" not in one.message + one.help


HEADS = st.fixed_dictionaries({}, optional={"capacity_l": st.sampled_from([200, 701, "x"]), "type": st.sampled_from(["barrel", "butt", "pail"]),
                                            "prior": st.just([{"contents": "port", "fills": 1}]), "charred": st.sampled_from([2011, "never", []])})  # fmt: skip


@pytest.mark.thorough
@settings(max_examples=many(60), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(events(), max_size=10), HEADS)
def test_any_history_is_checked(listed: list[dict[str, Any]], head: dict[str, Any]) -> None:
    hold(listed, head)


@pytest.mark.slow
@settings(max_examples=4000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(events(), max_size=30), HEADS)
def test_any_history_is_checked_at_length(listed: list[dict[str, Any]], head: dict[str, Any]) -> None:
    hold(listed, head)


@st.composite
def torn(draw: Any) -> bytes:
    """A good file with pieces cut out, doubled, or put in from elsewhere."""
    text = GOOD.encode()
    for _ in range(draw(st.integers(1, 5))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 60)))
        piece = draw(st.sampled_from([b"", b"\n", b"  ", b"- ", b": ", b"[", b"&a ", b"\t", b"\xff", b"<<<<<<< x\n", b"2023-02-30", b"''"]))
        text = text[:start] + piece + (text[start:end] * draw(st.integers(0, 2))) + text[end:]
    return text


def hold_torn(text: bytes) -> None:
    record = read_record("casks/TH-004/TH-004217.yaml", text)
    cask = tidied(record)
    found = check_cask(record, live(cask, HOUSE, TODAY) if cask is not None else None, Context(HOUSE, TODAY))
    assert {one.code for one in found} <= set(EXPLANATIONS)
    told = findings_text(found, 1, lambda _: text).splitlines()
    assert any(line.startswith("1 cask: ") for line in told[-2:])  # the code to explain may need a line of its own


@pytest.mark.thorough
@settings(max_examples=many(60), deadline=None)
@given(torn())
def test_any_torn_file_is_checked(text: bytes) -> None:
    hold_torn(text)


@pytest.mark.slow
@settings(max_examples=1000, deadline=None)
@given(torn())
def test_any_torn_file_is_checked_at_length(text: bytes) -> None:
    hold_torn(text)
