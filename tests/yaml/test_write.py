"""What is written is read alike by a YAML 1.1 reader, a YAML 1.2 reader, and our own."""

from __future__ import annotations

import math
from datetime import date, datetime
from decimal import Decimal

import pytest
import yaml as pyyaml
from hypothesis import example, given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from caskbook.core.finding import CaskbookError
from caskbook.yaml.scan import CONTROL
from caskbook.yaml.source import Source
from caskbook.yaml.text import read_yaml
from caskbook.yaml.write import as_read, flow_text, format_event, format_map, scalar

TRICKY = st.sampled_from(
    [
        "no", "y", "On", "~", "", "1e5", "012", "0o12", "12:30", "2015-03-12", "2015-03-12 10:00:00", " x", "x ", "a: b", "a #b",
        "#a", "- a", "-", "?", "? a", "!a", "&a", "*a", "%a", "@a", "`a", "'", '"', "it's", '"q"', "a\\b", "a\nb", "a\n", "\ta", "é",
        "\u2028", "\x85", "\ufeff", "\x1b[31m", "\x00", "\U0001f943", "=", "<<", "a?", "a?b", "a,b", "null", "True", ".5", "1_000", "0x1F", "[a]", "{a}",
        "a, b", "---", "...", "--- a", "|", ">", "x:", ":x", "a:b", "1.", "+1", "0b1", "-.inf", ".NaN", "TH-004217", "\u202e", "\ud7ff",
    ]
)  # fmt: skip
TEXT = TRICKY | st.text(max_size=20)
NUMBER = st.integers(-(2**63) + 1, 2**63 - 1) | st.floats(allow_nan=False, allow_infinity=False).map(lambda x: float(f"{x:.12g}"))
SCALAR = st.none() | st.booleans() | NUMBER | st.dates() | TEXT
VALUE = st.recursive(SCALAR, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXT, inner, max_size=4), max_leaves=8)
EVENT = st.dictionaries(TEXT, VALUE, min_size=1, max_size=6)


def same(one, other) -> bool:
    if isinstance(one, dict) and isinstance(other, dict):
        return list(one) == list(other) and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    return type(one) is type(other) and one == other


def all_readers(text: str) -> list[object]:
    ours = read_yaml(Source.from_bytes("x", text.encode()), max_depth=99).data
    return [pyyaml.safe_load(text), YAML(typ="safe", pure=True).load(text), ours]


@given(EVENT, st.integers(0, 6), st.integers(1, 4))
@example({"a": ["x" * 60, "y" * 60]}, 2, 1)
@example({"a": [{"b": ["x" * 60, {"c": "y" * 60}]}]}, 2, 1)
def test_an_event_is_read_alike_by_all(event, indent, gap):
    lines = format_event(event, indent, gap)
    assert not any("\n" in line or "\r" in line for line in lines)
    assert all(line.isascii() or "\t" not in line for line in lines)
    text = "events:\n" + "\n".join(lines) + "\n"
    for data in all_readers(text):
        assert same(data, {"events": [event]}), text


@given(SCALAR)
def test_a_value_is_read_alike_in_a_map_and_in_brackets(value):
    for text in (
        f"a: {scalar(value)}\n",
        f"a: [{scalar(value, flow=True)}]\n",
        f"a: {{b: {flow_text(value)}, c: 1}}\n",
    ):
        for data in all_readers(text):
            inner = data["a"]
            inner = inner[0] if isinstance(inner, list) else inner["b"] if text.startswith("a: {b:") else inner
            assert same(inner, value), text


@pytest.mark.thorough
def test_every_hidden_sign_is_written_as_an_escape():
    signs = [chr(n) for n in range(0x110000) if not 0xD800 <= n < 0xE000 and CONTROL.search(chr(n))]
    assert len(signs) > 80 and all(scalar(f"a{sign}b").isascii() for sign in signs)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_carry_no_exponent_and_no_noise(value):
    text = scalar(value)
    assert "e" not in text and math.isclose(float(text), value, rel_tol=1e-11)
    assert as_read(value) == float(text)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.1 + 0.2, "0.3"), (63.5, "63.5"), (198.0, "198.0"), (1e20, "100000000000000000000.0"), (1e-7, "0.0000001"), (-0.0, "-0.0"),
        (Decimal("61.50"), "61.5"), (Decimal("61"), "61"), (Decimal("100"), "100"), (0.29 * 100, "29.0"), (date(2015, 3, 12), "2015-03-12"),
        ("2015-03-12", "'2015-03-12'"), ("2015-01", "2015-01"), ("no", "'no'"), ("stave-14b", "stave-14b"), ("it's", "it's"), ("'t", '"\'t"'),
        ("driven twice, tight", "driven twice, tight"), ("a\x1b", '"a\\x1b"'), ("chêne", "chêne"), ("P-2015-014", "P-2015-014"), ("88-1207", "88-1207"),
    ],
)  # fmt: skip
def test_ordinary_values_look_as_a_person_would_write_them(value, text):
    assert scalar(value) == text


def test_an_event_looks_as_in_the_book():
    event = {
        "id": "dsy3jphz", "date": date(2023, 5, 18), "job": "examine", "by": "ab", "verdict": "repair", "heads": ["A", "B"],
        "findings": [{"at": "stave-1", "defect": "cracked", "severity": 2}], "note": "x " * 80 + "end: so",
    }  # fmt: skip
    assert format_event(event, 2) == [
        "  - id: dsy3jphz",
        "    date: 2023-05-18",
        "    job: examine",
        "    by: ab",
        "    verdict: repair",
        "    heads: [A, B]",
        "    findings:",
        "      - {at: stave-1, defect: cracked, severity: 2}",
        "    note: '" + "x " * 80 + "end: so'",
    ]


def test_long_lists_go_on_lines_of_their_own():
    assert format_map({"to": [f"stave-{k}" for k in range(20)]})[:2] == ["to:", "  - stave-0"]


@pytest.mark.parametrize("value", [math.inf, math.nan, 2**63, datetime(2015, 3, 12, 1), "\ud800", b"x", object()])
def test_what_cannot_be_written_is_refused(value):
    with pytest.raises(CaskbookError):
        scalar(value)
