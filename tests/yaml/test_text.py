"""Reading YAML: each surprise is told once, at its place, and never changes what is read in silence."""

from __future__ import annotations

import io
import random
import textwrap
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from caskbook.core.finding import Span, in_file_order
from caskbook.yaml.source import Source
from caskbook.yaml.text import Reading, read_yaml


def read(text: str | bytes, **limits: int) -> Reading:
    data = textwrap.dedent(text).encode() if isinstance(text, str) else text
    return read_yaml(Source.from_bytes("TH-000001.yaml", data), **limits)


def told(reading: Reading) -> list[tuple[str, int, int]]:
    return [(f.code, f.span.line, f.span.column) for f in reading.findings]


ONE_FAULT = [
    ("empty", b"", "empty-file", 1, 1, None),
    ("only comments", b"# nothing\n\n", "empty-file", 1, 1, None),
    ("list", b"- a: 1\n", "not-a-mapping", 1, 1, None),
    ("word", b"# so\nbarrel\n", "not-a-mapping", 2, 1, None),
    ("not utf-8", b"a: 1\nb: caf\xe9\n", "not-utf8", 2, 7, {"a": 1, "b": "caf\ufffd"}),
    ("utf-16", "a: 1\n".encode("utf-16"), "not-utf8", 1, 1, None),
    ("bom", b"\xef\xbb\xbfa: 1\n", "byte-order-mark", 1, 1, {"a": 1}),
    ("tab in a value", b"a: x\ty\n", "tab-in-file", 1, 5, {"a": "x y"}),
    ("tab for indent", b"a:\n\tb: 1\n", "tab-in-file", 2, 1, {"a": {"b": 1}}),
    ("escape code", b"a: red \x1b[31mword\n", "control-character", 1, 8, {}),
    ("escaped escape", b'a: "red \\e[31m"\n', "control-character", 1, 4, {"a": "red \x1b[31m"}),
    ("nul", b"a: \x00\n", "control-character", 1, 4, None),
    ("bidi", "a: x\u202ey\n".encode(), "control-character", 1, 5, {}),
    ("line separator", "a: x\u2028y\n".encode(), "control-character", 1, 5, {}),
    ("lone return", b"a: 1\rb: 2\n", "control-character", 1, 5, None),
    ("crlf", b"a: 1\r\nb: 2\r\n", "crlf-newlines", 1, 5, {"a": 1, "b": 2}),
    ("alias", b"a: &x 1\nb: *x\n", "yaml-alias", 2, 4, {"a": 1, "b": 1}),
    ("alias of nothing", b"a: 1\nb: *x\n", "yaml-alias", 2, 4, {"a": 1}),
    ("alias of itself", b"a: &x [*x]\n", "yaml-alias", 1, 8, {"a": [None]}),
    ("anchor", b"a: &x 1\n", "yaml-anchor", 1, 4, {"a": 1}),
    ("anchor of a map", b"a: &x\n  b: 1\n", "yaml-anchor", 1, 4, {"a": {"b": 1}}),
    (
        "merge key",
        b"a: &x {b: 1}\nc:\n  <<: *x\n  d: 2\n",
        "yaml-merge-key",
        3,
        3,
        {"a": {"b": 1}, "c": {"d": 2}},
    ),
    ("tag", b"a: !!str 5\n", "yaml-tag", 1, 4, {"a": 5}),
    ("tag of a map", b"a: !x {b: 1}\n", "yaml-tag", 1, 4, {"a": {"b": 1}}),
    ("twice", b"a: 1\nb: 2\na: 3\n", "duplicate-key", 3, 1, {"a": 1, "b": 2}),
    ("two documents", b"a: 1\n---\nb: 2\n", "several-documents", 2, 1, {"a": 1}),
    ("empty first document", b"---\n---\nb: 2\n", "several-documents", 2, 1, None),
    ("directive", b"%YAML 1.1\n---\na: 1\n", "yaml-directive", 1, 1, {"a": 1}),
    ("deep", b"a: " + b"[" * 50 + b"]" * 50, "nested-too-deep", 1, 23, None),
    ("very deep", b"a: " + b"[" * 100_000, "nested-too-deep", 1, 23, None),
    ("nan", b"a: .nan\n", "not-a-number", 1, 4, {}),
    ("inf", b"a: -.inf\n", "not-a-number", 1, 4, {}),
    ("huge", b"a: 1" + b"0" * 400, "number-too-large", 1, 4, {}),
    ("huge float", b"a: 1.0e+400\n", "number-too-large", 1, 4, {}),
    ("no such day", b"a: 2023-02-29\n", "date-impossible", 1, 4, {}),
    ("year 0", b"a: 0000-05-01\n", "date-impossible", 1, 4, {}),
    ("time", b"a: 2023-02-28T10:00:00\n", "time-of-day", 1, 4, {}),
    ("number as key", b"a:\n  1: x\n", "non-string-key", 2, 3, {"a": {}}),
    ("list as key", b"? [x]\n: 1\nb: 2\n", "non-string-key", 1, 3, {"b": 2}),
    ("no as a word", b"a: no\n", "ambiguous-word", 1, 4, {"a": "no"}),
    ("on as a key", b"on: 1\n", "ambiguous-word", 1, 1, {"on": 1}),
    ("base 60", b"a: 12:30\n", "ambiguous-word", 1, 4, {"a": "12:30"}),
    ("octal", b"a: 012\n", "ambiguous-word", 1, 4, {"a": 12}),
    (
        "conflict",
        b"a: 1\n<<<<<<< HEAD\nb: 2\n=======\nb: [\n>>>>>>> x\nc: 3\n",
        "merge-conflict-marker",
        2,
        1,
        {"a": 1, "b": 2, "c": 3},
    ),
    ("half a conflict", b"a: 1\n>>>>>>> x\nc: 3\n", "merge-conflict-marker", 2, 1, {"a": 1, "c": 3}),
    ("no colon", b"a: 1\nb 2\nc: 3\n", "yaml-syntax", 2, 1, {"a": 1, "c": 3}),
    ("open quote", b'a: "x\nb: "y"\nc: 3\n', "yaml-syntax", 1, 4, {"b": "y", "c": 3}),
    ("open quote to the end", b"a: 1\nb: 'x\nc: 3\n", "yaml-syntax", 2, 4, {"a": 1, "c": 3}),
    ("open bracket", b"a: [1, 2\nb: 3\n", "yaml-syntax", 1, 4, {"b": 3}),
    ("two colons", b"a: x: y\nb: 3\n", "yaml-syntax", 1, 5, {"b": 3}),
    ("reserved sign", b"a: @x\nb: 3\n", "yaml-syntax", 1, 4, {"b": 3}),
    ("wrong escape", b'a: "\\q"\nb: 3\n', "yaml-syntax", 1, 5, {"b": 3}),
    ("escape just beyond unicode", b'a: "\\U00110000"\nb: 3\n', "yaml-syntax", 1, 1, {"b": 3}),
    ("escape beyond unicode", b'a: "\\UFFFFFFFF"\nb: 3\n', "yaml-syntax", 1, 1, {"b": 3}),
]


@pytest.mark.parametrize(("data", "code", "line", "column", "value"), [c[1:] for c in ONE_FAULT], ids=[c[0] for c in ONE_FAULT])
def test_one_fault_is_one_finding_at_its_place(data, code, line, column, value):
    reading = read(data)
    assert told(reading) == [(code, line, column)]
    assert reading.data == value
    severity = "warning" if code in ("crlf-newlines", "ambiguous-word") else "error"
    assert reading.findings[0].severity == severity
    assert reading.refused == (severity == "error")
    for finding in reading.findings:
        assert len(finding.message) <= 80 and finding.message.isprintable() and finding.help[0].islower()
        assert "not YAML" not in finding.message, "told in plain words"


@pytest.mark.parametrize(
    ("word", "message", "help"),
    [
        ("no", "`no` is read two ways: a word, or false", "put quotes round it: 'no'"),
        ("12:30", "`12:30` is read two ways: a word, or a number of base 60", "put quotes round it: '12:30'"),
        ("012", "`012` is read two ways: 12, or 10", "write the number as 12, or put quotes round it"),
        ("1e5", "1e5 is no figure, expected a number", "write the number, or leave the line out"),
        ("=", "`=` is read two ways: a word, or a number or sign", "put quotes round it: '='"),
    ],
)
def test_a_doubtful_word_is_told_with_both_readings(word, message, help):
    finding = read(f"a: {word}\n").findings[0]
    assert (finding.message, finding.help) == (message, help)


def test_a_large_file_is_refused_unread():
    start = time.perf_counter()
    reading = read(b"a: " + b"x" * 10_000_000)
    assert told(reading) == [("file-too-large", 1, 1)] and reading.data is None
    assert time.perf_counter() - start < 2


def test_an_alias_cannot_unfold_a_small_file_into_a_huge_one():
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{k}: &a{k} [{', '.join([f'*a{k - 1}'] * 10)}]" for k in range(1, 9)]
    reading = read("\n".join(lines) + "\n")
    assert len(str(reading.data)) < 200_000 and {f.code for f in reading.findings} == {
        "yaml-alias",
        "yaml-anchor",
    }


MANY = """\
cask: TH-000001
format: 1
type: !barrel barrel
type: hogshead
events:
  - id: dsy3jphz
    date: 2023-02-29
    by: &who ab
    note: "the bung\tleaked"
  - id: dsy3jpj0
    date 2023-03-01
    by: *who
  - id: dsy3jpj1
    date: 2023-03-02
    result: no
    psi: .nan
"""


def test_all_faults_of_a_file_each_once_in_file_order():
    reading = read(MANY)
    assert told(reading) == [
        ("yaml-tag", 3, 7),
        ("duplicate-key", 4, 1),
        ("date-impossible", 7, 11),
        ("tab-in-file", 9, 20),
        ("yaml-syntax", 11, 5),
        ("yaml-alias", 12, 9),
        ("ambiguous-word", 15, 13),
        ("not-a-number", 16, 10),
    ]
    assert reading.findings == in_file_order(reading.findings)
    assert reading.data["events"][2] == {
        "id": "dsy3jpj1",
        "date": reading.data["events"][2]["date"],
        "result": "no",
    }


def test_what_could_not_be_read_is_named_so_that_it_is_not_called_missing():
    reading = read(MANY)
    assert reading.unread == {("events", 0, "date"), ("events", 1), ("events", 2, "psi")}


WELL = """\
# a barrel
cask: TH-000001   # its number
heads: [5, 5]
prior:
  - {contents: bourbon, fills: 1}
events:
  # delivered wet
  - id: dsy3jphz
    date: 2015-03-12
    note: >
      two
      lines
  -
    id: dsy3jpj0
    verdict:
"""


def test_places_of_values_keys_and_of_what_is_missing():
    reading = read(WELL)
    assert not reading.findings
    assert reading.span(("cask",)) == Span(2, 7, 2, 16)
    assert reading.span(("cask",), key=True) == Span(2, 1, 2, 5)
    assert reading.span(("heads", 1)) == Span(3, 12, 3, 13)
    assert reading.span(("prior", 0, "fills")) == Span(5, 32, 5, 33)
    assert reading.span(("prior", 0, "fills"), key=True) == Span(5, 25, 5, 30)
    assert reading.span(("events", 1, "verdict")) == Span(15, 13, 15, 13)
    assert reading.span(("events", 0, "by")) == Span(8, 5, 8, 17), "the first line of the event it is missing in"
    assert reading.span(("events", 7, "by")) == Span(8, 3, 8, 17)
    assert reading.span(("type",), key=True) == Span(2, 1, 2, 31)


def test_the_lines_of_a_list_item():
    reading = read(WELL)
    assert reading.block(("events", 0)) == (8, 12)
    assert reading.block(("events", 1)) == (13, 15)
    assert reading.block(("prior", 0)) == (5, 5)
    with pytest.raises(KeyError):
        reading.block(("events", 5))


def test_findings_of_one_kind_are_capped():
    assert len(read(b"\t\n" * 5000).findings) == 200


# One faulty line each, as it may stand in an event, the code it gives, and the column.
PLANTS = [
    ("    who: !crew ab", "yaml-tag", 10),
    ("    psi: &p 11", "yaml-anchor", 10),
    ("    psi: *q", "yaml-alias", 10),
    ("    <<: {psi: 11}", "yaml-merge-key", 5),
    ("    job: test", "duplicate-key", 5),
    ("    psi: .inf", "not-a-number", 10),
    ("    psi: 99999999999999999999", "number-too-large", 10),
    ("    seen: 2023-02-29", "date-impossible", 11),
    ("    seen: 2023-02-28 10:00:00", "time-of-day", 11),
    ("    3: x", "non-string-key", 5),
    ("    result: no", "ambiguous-word", 13),
    ("    note:\tx", "tab-in-file", 10),
    ("\tnote: x", "tab-in-file", 1),
    ("  \tnote: x", "tab-in-file", 3),
    ("    note: x \x07", "control-character", 13),
    ('    note: "x', "yaml-syntax", 11),
    ("    note: 'x", "yaml-syntax", 11),
    ("    note it was wet", "yaml-syntax", 5),
    ("    note: wet: very", "yaml-syntax", 14),
    ("    heads: [A, B", "yaml-syntax", 12),
    ("    at: {x: 1", "yaml-syntax", 9),
    ("    note: @x", "yaml-syntax", 11),
    ('    note: "\\q"', "yaml-syntax", 12),
    ("   note: x", "yaml-syntax", 4),
    ("<<<<<<< HEAD\n    a: 1\n=======\n    a: 2\n>>>>>>> b", "merge-conflict-marker", 1),
]


def plant_five(seed: int) -> None:
    rng = random.Random(seed)
    plants = rng.sample(PLANTS, 5)
    lines, expected = ["cask: TH-000001", "format: 1", "type: barrel", "events:"], []
    for number, (line, code, column) in enumerate(plants):
        lines += [f"  - id: dsy3jph{number}", f"    date: 2015-03-1{number}", "    job: test", "    by: ab"]
        expected.append((code, len(lines) + 1, column))
        lines += [*line.split("\n"), "    water_l: 2"] if rng.random() < 0.6 else line.split("\n")
    assert told(read(("\n".join(lines) + "\n").encode())) == expected, "\n".join(lines)


@pytest.mark.thorough
@pytest.mark.parametrize("seed", range(40))
def test_five_planted_faults_are_exactly_those_five(seed):
    plant_five(seed)


@pytest.mark.slow
def test_any_five_planted_faults_are_exactly_those_five():
    for seed in range(40, 3000):
        plant_five(seed)


PLAIN = st.none() | st.booleans() | st.integers(-(2**63) + 1, 2**63 - 1) | st.text(max_size=12)
TREES = st.dictionaries(
    st.text(min_size=1, max_size=6),
    st.recursive(
        PLAIN,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    ),
    min_size=1,
    max_size=4,
)


def by_the_reference(text: str) -> object:
    return YAML(typ="safe", pure=True).load(text)


@given(TREES, st.sampled_from(["\n", "\r\n"]), st.booleans())
def test_a_file_without_error_is_read_as_the_reference_reads_it(tree, newline, flow):
    out = io.StringIO()
    dumper = YAML(typ="safe", pure=True)
    dumper.default_flow_style = flow
    dumper.dump(tree, out)
    text = out.getvalue().replace("\n", newline)
    reading = read(text.encode("utf-8", "replace"))
    if not reading.refused:
        assert reading.data == by_the_reference(text)


def paths_of(value: object, path: tuple = ()) -> list[tuple]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else []
    return [path, *(deep for step, one in inner for deep in paths_of(one, (*path, step)))]


@given(TREES, st.booleans())
def test_each_place_holds_just_its_value(tree, flow):
    out = io.StringIO()
    dumper = YAML(typ="safe", pure=True)
    dumper.default_flow_style, dumper.width = flow, 10_000
    dumper.dump(tree, out)
    reading = read(out.getvalue().encode())
    # The dumper writes a few texts ("?;" as a key in braces) that it reads another way itself.
    if reading.refused or by_the_reference(out.getvalue()) != tree:
        return
    for path in paths_of(tree):
        node = reading.exact(path)
        assert node is not None and node.path == path
        text = reading.source.text[node.start : node.end]
        if node.kind == "scalar" and "\n" not in text:
            assert by_the_reference(f"- {text}") == [node.value], (path, text)
        if path and isinstance(path[-1], str):
            place = reading.span(path, key=True)
            start = reading.source.offset(place.line, place.column)
            end = reading.source.offset(place.end_line, place.end_column)
            assert by_the_reference(f"- {reading.source.text[start:end]}") == [path[-1]]


LINES = [
    "a: 1", "b:", "  - x", "  - {c: 1, d: [2]}", "    e: 'f'", "- g", "? h", ": i", "  j: |", "    text", "  k: >-", "", "# note",
    "a: &x y", "z: *x", "<<: *x", "!!set {}", "---", "...", "%TAG ! x", "<<<<<<< a", "=======", ">>>>>>> b", "l: \"m", "n: 'o",
    "p: [", "]", "q: {", "}", "\tr: s", "t: 12:30", "u: 2023-02-30", "v: .inf", "w: \x07", "'x y': z", "é: ü", "\ufeffa: b", "c: d\r",
    "  - - - e", "events:", "  -", "  -   f: g", "h: \"\\ud800\"", "i: '''", "j: \"\\", "k: ,", "l: }", "m: - n", "? - o\n: - p", "q: 1\re: 2",
]  # fmt: skip


def random_case(rng: random.Random) -> bytes:
    kind = rng.random()
    if kind < 0.2:
        return rng.randbytes(rng.randrange(200))
    if kind < 0.4:
        return "".join(rng.choices(" \n\t\r-:?[]{},&*!|>'\"%@`#ab1.é\u2028\x00", k=rng.randrange(80))).encode()
    lines = rng.choices(LINES, k=rng.randrange(1, 15))
    data = bytearray("\n".join(lines).encode("utf-8", "surrogatepass"))
    if kind > 0.8 and data:
        data[rng.randrange(len(data))] = rng.randrange(256)
    return bytes(data)


def never_a_traceback(cases: int, seed: int) -> None:
    rng = random.Random(seed)
    for _ in range(cases):
        data = random_case(rng)
        reading = read_yaml(Source.from_bytes("x.yaml", data))
        assert reading.findings or reading.data is not None, data
        assert isinstance(reading.data, dict | None), data
        assert reading.data is not None or reading.refused, data
        assert len(set(reading.findings)) == len(reading.findings)
        for finding in reading.findings:
            assert len(finding.message) <= 80 and finding.message.isprintable() and finding.span.line <= max(1, reading.source.line_count), data
        if not reading.refused:
            assert reading.data == by_the_reference(data.decode().replace("\ufeff", "")), data


@pytest.mark.thorough
def test_random_text_never_gives_a_traceback():
    never_a_traceback(200, 1)


@pytest.mark.slow
def test_much_random_text_never_gives_a_traceback():
    never_a_traceback(10_000, 2)


@pytest.mark.slow
@given(st.binary(max_size=300))
@settings(max_examples=3000, deadline=None)
def test_random_bytes_never_give_a_traceback(data):
    read_yaml(Source.from_bytes("x.yaml", data))
