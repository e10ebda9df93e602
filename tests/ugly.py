"""Ugly files: YAML as people, editors and other programs leave it, and cask files mutated. Shared by the tests of reading."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

GOOD = """\
# yaml-language-server: $schema=../../../schemas/cask.schema.json
cask: TH-004217
format: 1
type: barrel
capacity_l: 200              # nominal
wood: american-white-oak
maker: Fenwick Hollow
made: 2011
staves: 31
heads: [5, 5]
was: [88-1207, 'old one']
prior:
  - {contents: bourbon, fills: 1, emptied: 2015-01, evidence: declaration}
charred: 2011
parcel: P-2015-014

events:
  # received on a wet day
  - id: dsy3jphz
    date: 2015-03-12
    job: receive
    by: ab
    verdict: accept
    findings:
      - {at: stave-14, defect: crack, severity: 1}
      - at: head-A-2
        defect: wormhole
  - id: dt3q62s1
    date: 2015-03-20
    job: test
    by: ab
    psi: 11.5
    water_l: 2
    result: pass
    note: 'held 5 minutes: tight'
"""

# Values a person might write behind a colon, or by mistake; each is tried plain, in a list, in brackets and as a key.
WORDS = (
    "yes", "no", "on", "off", "y", "n", "Y", "N", "Yes", "NO", "On", "OFF", "true", "True", "TRUE", "false", "tRuE", "null", "Null", "~",
    "NULL", "", "-", "--", "---", "...", "- -", "?", ":", "::", "a:b", "a: b", "a :b", "a:", ":a", "=", "<<", "<<<<<<<", "|", ">", "|-",
    ">+", "&a", "*a", "&a b", "!a b", "!!str 1", "!!float 1", "!", "%", "%a", "@a", "`a", "#a", "# a", "a #b", "a# b", "a#b", "'", '"',
    "''", '""', "'a'", '"a"', "'a''b'", '"a\\nb"', '"a\\x41"', '"\\u2028"', '"a', "'a", "'a'b", '"a"b', "'a' #b", "'a'#b", "'a: b'",
    "[", "]", "{", "}", "[]", "{}", "[1", "1]", "[1,]", "[,1]", "[1,,2]", "[1 2]", "[1, 2]", "[ 1 , 2 ]", "[[1], 2]", "{a: 1}",
    "{a: 1,}", "{a:1}", "{a}", "{a: }", "{a: 1, a: 2}", "{'a': 1}", "{a: {b: [1, {c: 2}]}}", "[a: b]", "{1: 2}", "{no: 1}", "{a: no}",
    "{a: b: c}", "[a #b]", "[a, #b]", "{a: 1} # b", "{a: 1}# b", "[a]b", "[a] b", "[*a]", "[!a b]", "[? a]", "[- a]", "[-]", "[a-b, -1]",
    "0", "00", "01", "012", "0o14", "0o8", "0x1F", "0b101", "+1", "-1", "+0", "-0", "1_000", "1_", "_1", "1__0", "1,000", "1.", ".5",
    "-.5", "+.5", "1.0", "1.50", "-1.5", "01.5", "1.5.2", "1e5", "1E5", "1e+5", "1e-5", "1.0e5", "1.0e+5", ".5e3", ".5e+3", "1e400",
    "1.0e+400", "9" * 18, "9" * 19, "9" * 400, "1" + "0" * 500, ".inf", "-.inf", "+.INF", ".nan", ".NaN", "inf", "nan", "NaN", "Infinity",
    "12:30", "12:30:45", "1:2", "190:20:30.15", "0:0", "2015-03-12", "2015-3-12", "2015-02-30", "2015-13-01", "0000-01-01", "9999-12-31",
    "2015-03-12T10:00:00", "2015-03-12 10:00:00", "2015-03-12t10:00:00Z", "2015-03-12 10:00:00 +2", "2015-03", "2015", "20150312",
    "2015-03-12x", "2015-03-12 x", "15-03-12", "2015-071", "12.03.2015", "0.1.2", "1-2", "1 2", "1a", "a1", "e5", "1f", "0x", "0xg", "0o",
    "0b", "._", "-_", "+", "-.", "+.", ".", "..", "._1", "1._", "é", "ß x", "naïve", "x\u00a0y", "\u00a0", "x\u2009y", "日本", "\U0001f943",
    "\u0660", "\u00b2", "x\u200by", "\u202ex", "\ufeff", "\u2028", "\u0085", "\x7f", "\x1b[31m", "\x00", "\ufffd", "\ue000", "\ufffe",
    "x\ty", "\tx", "x\t", "x\r", "x ", "  x", "x  y", "x" * 899, "x" * 1030, "x y" * 400, "[bold]x[/]", "../../x", "$x", "(x)", "/x", "^x",
    ";x", "=x", "<x", ">x", "|x", "~x", "~ x", "\\x", "\\", ",x", ",", "x,", "x]", "x}", "x[", "x{", "x'y", 'x"y', "it's", "-x", "- x", "-1x",
    "?x", "? x", "!x", "&x y", "*x y", "%x", "@x", "`x", "x: y: z", "x - y", "x ? y", "x & y", "x ! y", "x --- y", "http://x/y", "x:/y", "x:",
)  # fmt: skip

LAYOUTS = (
    "a: {}\n", "a: {}", "a:   {}   \n", "a:\n  - {}\n  - x\n", "a:\n- {}\n- x\n", "a: [{}]\n", "a: [x, {}]\n", "a: {{k: {}}}\n",
    "{}: a\n", "a:\n  {}: b\n", "a:\n  - {}: b\n    c: d\n", "a:\n  {}\n", "a: x\n{}\n", "{}\na: x\n", "a: x\n  {}\n", "a: {}  # c\n",
)  # fmt: skip

SHAPES = (
    "", "\n", " ", "#", "# a", "---", "---\na: 1\n", "...\n", "a: 1\n...\n", "a: 1\n---\nb: 2\n", "%YAML 1.1\n---\na: no\n", "%TAG ! x\n", "- a\n",
    "a\n", "a b\n", "1\n", "[]\n", "{}\n", "{a: 1}\n", " a: 1\n", " a: 1\n b: 2\n", "a: 1\n b: 2\n", "a:\n  b: 1\n c: 2\n", "a:\n  b: 1\n   c: 2\n",
    "a: 1\na: 2\n", "a: 1\nb: 2\na: 3\n", "a:\n  b: 1\n  b: 2\n", "a:\n- b: 1\n  b: 2\n", "a:\n- b\n - c\n", "a:\n - b\n- c\n", "a: b\n- c\n",
    "a:\n- b\nc: d\n", "a:\n- b\n  c: d\n", "a:\n  - b\n  c: d\n", "a:\n-\n  b: 1\n", "a:\n- - b\n  - c\n", "a:\n-  b: 1\n   c: 2\n",
    "a:\n- b: 1\n   c: 2\n", "a:\n- b:\n  c: 2\n", "a:\n- b:\n    c: 2\n  d: 3\n", "a:\n- b:\n  - c\n  - d\n  e: 1\n", "a:\n- b:\n - c\n",
    "a:\nb:\n", "a:\n\n\nb:\n", "a:\n# x\n  b: 1\n", "a: 1\n  # x\nb: 2\n", "a:\n  - b\n# x\n  - c\n", "a: |\n  x: y\n", "a: >\n  x\nb: 1\n", "a: 'x\n  y'\n",
    'a: "x\n  y: z"\n', "a: x\n  y\n", "a: x\n  y: z\n", "a: [1,\n  2]\n", "a: {b: 1,\n  c: 2}\n", "a: [\n]\n", "? a\n: b\n", "? a: b\n", "a:\n  ? b\n",
    "&x a: 1\n", "a: &x 1\nb: *x\n", "a: &x {b: 1}\nc:\n  <<: *x\n", "<<: {a: 1}\n", "a:\n  <<: {b: 1}\n", "!!map {a: 1}\n", "a: !!set {b}\n",
    "a: 1\r\nb: 2\r\n", "a: 1\rb: 2\n", "a: 1\r\nb: 2\n", "\ufeffa: 1\n", "a: 1\n\ufeffb: 2\n", "a:\t1\n", "\ta: 1\n", "a: 1\t\n", "a: 1\n\t\n", "a: 1 \t# x\n",
    "<<<<<<< ours\na: 1\n=======\na: 2\n>>>>>>> theirs\n", "a: 1\n=======\n", "a: 1\n||||||| x\n", "a: 1\n>>>>>>> x: y\n", "<<<<<<< x: y\na: 1\n",
    "a: 1\n\x00", "\x00", "a: \x1b[0m\n", "a: 1 # \x07\n", "a: 1\x85b: 2\n", "a: 1\u2028b: 2\n", "# \u202e\na: 1\n", "a: 1\n\n\n\n", "   \na: 1\n",
    "a: 1\n   \n  \nb: 2\n", "a:\n" + "".join(f"{'  ' * n}k{n}:\n" for n in range(1, 7)), "a:\n" + "".join(f"{'  ' * n}k{n}:\n" for n in range(1, 30)),
    "a: " + "[" * 25 + "]" * 25 + "\n", "a: " + "{a: " * 25 + "1" + "}" * 25 + "\n", "a: " + "[" * 5 + "]" * 5 + "\n", "a:" + "\n  - b:" * 3 + "\n",
    "a" * 61 + ": 1\n", "a" * 62 + ": 1\n", "a" * 1030 + ": 1\n", "a b: 1\n", "a.b: 1\n", "'a': 1\n", '"a": 1\n', "a : 1\n", "a:1\n", "a:1: 2\n", "a: b:c\n",
    "é: 1\n", "a:\n - b: 1\n   c: 2\n - d: 3\n", "a:\n   - b: 1\n     c:\n       - d: 1\n         e: 2\n     f: 1\n", "a: # x\n  b: 1\n", "a: # x: y\n  b: 1\n",
    "a: #x\n- b\n", "a:#x\n", "#a: b\nc: d\n", "# a:\nc: d\n", "  # a: b\nc: d\n", "a: 1 # b: c\n", "a: 1# b: c\n", "a: 'b' # c: d\n", "a:\n  - # b\n    c: 1\n",
    "a:\n  - # b: c\n    d: 1\n", "a:\n  - 'b: c'\n", 'a:\n  - "b: c"\n', "a:\n  - {b: c}\n  - [d: e]\n", "a:\n  - {b: c}: d\n", "a:\n  - b:\n", "a:\n  - b: c:\n",
    "a: |\n", "a: >-\n", "a: |2\n   x\n", "a: --- b\n", "a: ... b\n", "--- a: b\n", "--- # x: y\na: 1\n", "... # x: y\na: 1\n", "a: 1\n... # x: y\n", "-a: b\n", "a:\n -b: c\n",
    "true: 1\n", "null: 1\n", "no: 1\n", "y: 1\n", "a:\n  - no: 1\n", "a:\n  n: 1\n", "1: a\n", "1a: b\n", "2015-03-12: a\n", "a: 'b''c'\n", "a: '\n", "a: ''\n", "a: ' '\n", "a: '#'\n",
)  # fmt: skip


def ugly_files() -> Iterator[bytes]:
    """All of them, each once."""
    seen: set[bytes] = set()
    for text in [*SHAPES, *(layout.format(word) for word in WORDS for layout in LAYOUTS)]:
        data = text.encode("utf-8", "surrogatepass")
        if data not in seen:
            seen.add(data)
            yield data
    yield from (b"\xff\xfea: 1\n", b"a: \xff\n", b"a: \xc3\n", b"# \x80\na: 1\n", b"a: \xed\xa0\x80\n", b"\xfe\xff\x00a", b"a: \xc0\xaf\n")


def same(one: Any, other: Any) -> bool:
    """Whether two values are equal and of the same types throughout, in the same order."""
    if type(one) is not type(other):
        return False
    if isinstance(one, dict):
        return list(one) == list(other) and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(same, one, other))
    assert one is None or isinstance(one, str | int | float | bool | date), one
    return bool(one == other) and str(one) == str(other)
