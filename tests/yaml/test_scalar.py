"""Plain words against three independent readers: ruamel.yaml (1.2), PyYAML (1.1), and the core schema's own grammar."""

from __future__ import annotations

import math
import re
from datetime import date, datetime

import pytest
import yaml as pyyaml
from hypothesis import example, given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from caskbook.yaml.scalar import LARGEST, meaning

NUMBERLIKE = st.from_regex(r"[-+]?[0-9._eExob:]{1,8}", fullmatch=True)
WORDS = NUMBERLIKE.filter(lambda w: not w.endswith(":") and w not in ("-", "---", "...")) | st.sampled_from(
    [
        "y",
        "n",
        "yes",
        "no",
        "on",
        "off",
        "Yes",
        "NO",
        "True",
        "false",
        "TRUE",
        "null",
        "~",
        "Null",
        "=",
        "<<",
        "1e5",
        "012",
        "0o12",
        "12:30",
        "1_000",
        "0b1",
        "0x1F",
        "-0x1F",
        "1.",
        ".5",
        "-.5",
        "._",
        "-_",
        "5.0",
    ]
)


def core(word: str):
    """The core schema of YAML 1.2.2 §10.3.2, written from its table."""
    if re.fullmatch(r"null|Null|NULL|~|", word):
        return None
    if re.fullmatch(r"true|True|TRUE|false|False|FALSE", word):
        return word.lower() == "true"
    if re.fullmatch(r"[-+]?[0-9]+", word):
        return int(word)
    if re.fullmatch(r"0o[0-7]+", word):
        return int(word[2:], 8)
    if re.fullmatch(r"0x[0-9a-fA-F]+", word):
        return int(word, 16)
    if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", word):
        return float(word)
    return word


def same(one, other) -> bool:
    return type(one) is type(other) and one == other


@given(WORDS)
@example("12:30:15.2")
@example("00")
@example(".0E0")
@example("1_0.5")
def test_a_word_without_doubt_is_read_alike_by_all_three(word):
    found = meaning(word)
    if found.fault or found.doubtful:
        return
    if isinstance(found.value, date):
        assert pyyaml.safe_load(word) == found.value
        return
    assert same(found.value, core(word))
    assert same(found.value, pyyaml.safe_load(word))


@given(WORDS)
def test_the_value_is_that_of_the_reader_that_counts(word):
    found = meaning(word)
    try:
        expected = YAML(typ="safe", pure=True).load(word)
    except Exception:  # it fails on words such as "._"
        return
    if isinstance(expected, float) and not math.isfinite(expected):
        assert found.fault in ("not-a-number", "number-too-large")
    elif isinstance(expected, int) and not isinstance(expected, bool) and abs(expected) > LARGEST:
        assert found.fault == "number-too-large"
    elif isinstance(expected, datetime):
        assert found.fault == "time-of-day"
    elif isinstance(expected, int | float) and not isinstance(expected, bool) and not re.fullmatch(r"[+-]?[0-9]+(\.[0-9]+)?", word):
        assert found.fault == "not-a-number" and found.value is None, word
    else:
        assert same(found.value, expected), word


@pytest.mark.parametrize("word", ["0xB", "0xB6", "-0x1F", "0o300", "0b1", "1_96", "1_9.5", "1e2", "1.0e+3", ".5", "-.5", "5."])
def test_a_number_has_one_spelling(word):
    assert meaning(word).fault == "not-a-number" and meaning(word).value is None


@pytest.mark.parametrize(
    "word",
    [
        "no",
        "yes",
        "on",
        "off",
        "y",
        "n",
        "012",
        "0o12",
        "12:30",
        "1_000",
        "0b1",
        "1e5",
        "1.5e3",
        "-.5",
        "=",
        "<<",
        "-0x1F",
        "190:20:30.15",
    ],
)
def test_words_read_two_ways_are_known(word):
    assert meaning(word).doubtful


@pytest.mark.parametrize(
    "word",
    [
        "TH-004217",
        "88-1207",
        "2015-01",
        "5",
        "-5",
        "63.5",
        "0.0",
        "true",
        "null",
        "stave-14",
        "NO-1",
        "2015-03-12",
    ],
)
def test_ordinary_words_are_not_doubted(word):
    found = meaning(word)
    assert not found.doubtful and not found.fault


@pytest.mark.parametrize(
    ("word", "fault"),
    [
        ("2023-02-29", "date-impossible"),
        ("0000-01-01", "date-impossible"),
        ("2023-01-02T10:00:00Z", "time-of-day"),
        ("2023-01-02 10:00:00", "time-of-day"),
        (".nan", "not-a-number"),
        ("-.inf", "not-a-number"),
        ("1" + "0" * 400, "number-too-large"),
        ("9" * 5000, "number-too-large"),
        ("1e400", "number-too-large"),
        (str(2**63), "number-too-large"),
    ],
)
def test_words_without_a_value(word, fault):
    assert meaning(word).fault == fault


def test_the_largest_whole_number_is_read():
    assert meaning(str(2**63 - 1)).value == 2**63 - 1
