"""The fast reader against the slow one: never does it take what that would fault, read another value, or point elsewhere."""

from __future__ import annotations

import re
import sys
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many
from ugly import GOOD, LAYOUTS, SHAPES, WORDS, same, ugly_files

from caskbook.model.cask_file import read_record
from caskbook.yaml.fast import fast_data, fast_item, fast_items
from caskbook.yaml.fast_places import item_span, plain_root, read_places
from caskbook.yaml.source import MAX_BYTES, Source
from caskbook.yaml.text import read_yaml
from caskbook.yaml.tree import Node


def agrees(data: bytes) -> bool:
    """Whether the fast reader took it; asserts that it did so rightly."""
    got = fast_data(data)
    if got is None:
        return False
    slow = read_yaml(Source.from_bytes("x.yaml", data))
    assert not slow.findings, (data, slow.findings)
    assert same(got, slow.data), (data, got, slow.data)
    assert slow.root is not None
    assert _told_apart(plain_root(slow.source.text, got), slow.root) is None, data
    return True


def _told_apart(one: Node, other: Node) -> object:
    """The first thing in which two trees of places differ."""
    for name in ("kind", "start", "end", "path", "flow", "plain", "readable", "keys"):
        if getattr(one, name) != getattr(other, name):
            return one.path, name, getattr(one, name), getattr(other, name)
    if list(one.children) != list(other.children) or list(one.keys) != list(other.keys) or not same(one.value, other.value):
        return one.path, "content"
    return next((found for step, child in one.children.items() if (found := _told_apart(child, other.children[step])) is not None), None)


def test_a_plain_cask_file_is_taken() -> None:
    assert agrees(GOOD.encode())
    assert agrees(GOOD.replace("Fenwick Hollow", "Fenwick Höllow & Söhne (日本)").encode())


@pytest.mark.thorough
def test_ugly_files_are_left_to_the_slow_reader_or_read_alike() -> None:
    files = list(ugly_files())
    taken = sum(map(agrees, files))
    assert len(files) > 4000 and 800 < taken < len(files) / 2


@pytest.mark.parametrize(
    "word", ["", "0", "12", "-3", "1.5", "2015-03-12", "2015-01", "true", "false", "null", "~", "a b", "'a: b'", '"a"', "[]", "[1, 2]", "{a: 1}"]
)
def test_plain_values_are_taken(word: str) -> None:
    """What cask files are made of must not end on the slow road."""
    for layout in (LAYOUTS[0], LAYOUTS[1], LAYOUTS[2]):
        assert agrees(layout.format(word).encode()), word


@pytest.mark.parametrize(
    "word", ["yes", "no", "on", "y", "012", "0o14", "1e5", "1_000", "12:30", "2015-02-30", ".inf", "9" * 19, "*a", "&a b", "!a b", "<<", "2015-03-12T10:00:00"]
)
def test_words_read_two_ways_are_never_taken(word: str) -> None:
    for layout in LAYOUTS:
        assert fast_data(layout.format(word).encode()) is None or agrees(layout.format(word).encode()), word
    assert fast_data(f"a: {word}\n".encode()) is None


def _with_characters(chars: list[str]) -> bytes:
    """Each character in a plain value, at its end, in quotes and in a comment."""
    return "\n".join(f"k{n}: x{char}y {char}\nq{n}: '{char}' # {char}" for n, char in enumerate(chars)).encode()


def test_printable_characters_are_read_alike() -> None:
    """One in a hundred of Unicode; the slow run takes them all."""
    chars = [chr(n) for n in range(0xA1, sys.maxunicode + 1, 97) if chr(n).isprintable()]
    assert len(chars) > 1000 and agrees(_with_characters(chars))


@pytest.mark.thorough
def test_every_character_alone_is_read_alike() -> None:
    """The first 256 and the ones that other readers take for a space, a line's end or nothing."""
    odd = [*range(256), 0x1680, 0x180E, *range(0x2000, 0x2070), 0x3000, 0xFEFF, 0xFFF9, 0xFFFD, 0xFFFE, 0x1FFFE, 0xE0001]
    for code in odd:
        for form in ("a: {}\n", "a: x{}y\n", "a: '{}'\n", "{}a: 1\n", "a{}: 1\n", "a:{}\n", "# {}\na: 1\n", "a: 1\n{}\n", "a: [x{}]\n", "a:\n{}- b\n"):
            agrees(form.replace("{}", chr(code)).encode())


def test_size_is_judged_as_the_slow_reader_judges_it() -> None:
    data = b"a: 1\n" + b"# x\n" * (MAX_BYTES // 4)
    assert len(data) > MAX_BYTES and fast_data(data) is None


def test_values_that_are_kept_are_not_shared() -> None:
    one, other = fast_data(b"a: [1, 2]\nb: {c: 1}\n"), fast_data(b"a: [1, 2]\nb: {c: 1}\n")
    assert one is not None and other is not None
    one["a"].append(3)
    one["b"]["d"] = 4
    assert other == {"a": [1, 2], "b": {"c": 1}} == fast_data(b"a: [1, 2]\nb: {c: 1}\n")


_KEYS = st.sampled_from(["a", "b", "cask", "date", "job", "no", "y", "null", "1", "a b", "'a'", "x-y", "events", "é", ""])
_INDENT = st.sampled_from(["", "", " ", "  ", "  ", "   ", "    ", "      "])
_DASH = st.sampled_from(["", "", "", "- ", "- - ", "-  ", "-", "? ", "-\t"])
_TAIL = st.sampled_from(["", "", "", "", " ", " # c", "# c", " # a: b", "\r", "\t", ":", " :", ","])
_WORD = st.one_of(st.sampled_from(WORDS), st.sampled_from(["x", "1", "x y", "[1, 2]", "{a: 1}"]))
_LINE = st.one_of(
    st.builds("{}{}{}:{}{}{}".format, _INDENT, _DASH, _KEYS, st.sampled_from([" ", " ", " ", "", "  "]), st.one_of(st.just(""), _WORD), _TAIL),
    st.builds("{}{}{}{}".format, _INDENT, _DASH, _WORD, _TAIL),
    st.sampled_from(["", "  ", "# c", "  # c: d", "---", "...", "\t"]),
)
_TEXT = st.builds("\n".join, st.lists(_LINE, max_size=10)).map(lambda text: text + "\n")
_GOOD_WORDS = ("x", "1", "1.5", "x y", "2015-03-12", "'x: y'", "[1, x]", "{a: 1, b: [x]}", "{'y': z, \"0 1\": x }", "x  # c", "~", "true", '""', "W1-3")


def _grown(chance: Random, column: int, depth: int) -> list[str]:
    """The lines of a map at a column, laid out in one of the ways YAML allows, comments and empty lines between."""
    lines: list[str] = []
    for key in chance.sample(("a", "b", "c", "d-e", "f_2", "'no'", '"Y"'), chance.randint(1, 3)):
        lead, below = " " * column + key + ":", column + chance.choice((1, 2, 2, 4))
        what = chance.choice("wwwmlbn") if depth else "w"
        if what == "w":
            lines.append(f"{lead} {chance.choice(_GOOD_WORDS)}")
        elif what == "m":
            lines += [lead, *_grown(chance, below, depth - 1)]
        elif what == "n":
            lines.append(lead)
        else:
            dash = chance.choice((column, below))
            lines.append(lead)
            for _ in range(chance.randint(1, 3)):
                item = [" " * (dash + 2) + chance.choice(_GOOD_WORDS)] if what == "b" else _grown(chance, dash + 2, depth - 1)
                lines += [" " * dash + "- " + item[0][dash + 2 :], *item[1:]]
        if chance.random() < 0.15:
            lines.append(chance.choice(("", "   ", "# c", "  # c: d", "      # c:")))
    return lines


def _hurt(chance: Random) -> str:
    """A well-formed file, or one with a line or two moved, doubled, dropped, or with a sign too many."""
    lines = _grown(chance, 0, 3)
    for _ in range(chance.choice((0, 1, 1, 2))):
        at = chance.randrange(len(lines))
        line = lines[at]
        new = chance.choice(([" " + line], [line[1:]], ["  " + line], [line[2:]], [line, line], [], [line, ""], [line + ":"], [line + " y"], [line.lstrip(" ")],
                             [line.replace("- ", "  ")], [line.replace("  ", "- ", 1)], [line.replace(": ", ":")], [line.replace(" ", "  ")], lines[at : at + 3] * 2))  # fmt: skip
        lines[at : at + 1] = new
        lines = lines or [""]
    return "\n".join(lines) + chance.choice(("", "\n", "\n\n"))


_NICE_TEXT = st.randoms(use_true_random=False).map(_hurt)


def _bent(data: Any) -> bytes:
    """A good file with some stretches taken out, doubled or written over by others of its own or by odd ones."""
    text = GOOD
    for at, length, what, other in data:
        at %= len(text) or 1
        bit = {
            0: "",
            1: text[at : at + length] * 2,
            2: text[other % len(text) :][:length] if text else "",
            3: WORDS[other % len(WORDS)],
            4: "\n",
            5: " ",
            6: "  ",
        }[what]
        text = text[:at] + bit + text[at + length :]
    return text.encode("utf-8", "surrogatepass")


_BENT = st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 12), st.integers(0, 6), st.integers(0, 2000)), min_size=1, max_size=3).map(_bent)
_ANY = st.one_of(
    _TEXT.map(lambda text: text.encode("utf-8", "surrogatepass")), _NICE_TEXT.map(str.encode), _NICE_TEXT.map(str.encode),
    _BENT, st.sampled_from(SHAPES).map(lambda text: text.encode("utf-8", "surrogatepass")), st.binary(max_size=60),
)  # fmt: skip


@given(_ANY)
@settings(max_examples=many(300), deadline=None)
def test_the_two_readers_never_differ(data: bytes) -> None:
    agrees(data)


@pytest.mark.slow
@given(_ANY)
@settings(max_examples=10_000, deadline=None)
def test_the_two_readers_never_differ_at_length(data: bytes) -> None:
    agrees(data)


@pytest.mark.slow
def test_all_of_unicode_is_read_alike() -> None:
    chars = [chr(n) for n in range(0xA1, sys.maxunicode + 1) if chr(n).isprintable()]
    for start in range(0, len(chars), 5000):
        assert agrees(_with_characters(chars[start : start + 5000]))


@pytest.mark.thorough
@given(_BENT)
@settings(max_examples=many(150), deadline=None)
def test_a_record_is_the_same_read_fast_or_slow(data: bytes) -> None:
    one, other = read_record("casks/TH-004/TH-004217.yaml", data), read_record("casks/TH-004/TH-004217.yaml", data, fast=False)
    assert (one.name, one.path, one.cask, one.findings, one.unread) == (other.name, other.path, other.cask, other.findings, other.unread)
    assert same(one.content, other.content) if one.content is not None else other.content is None
    assert one.document.data == other.document.data


def test_a_good_record_makes_no_document(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("caskbook.model.cask_file.read_document", lambda _: pytest.fail("read slowly"))
    record = read_record("casks/TH-004/TH-004217.yaml", GOOD.encode())
    assert record.cask is not None and len(record.cask.events) == 2 and record.findings == ()


def _paths(node: Node) -> list[tuple[str | int, ...]]:
    return [node.path, *(path for child in node.children.values() for path in _paths(child))]


def _agrees_apart(data: bytes) -> bool:
    """Whether a file was taken apart and all its items read; asserts that together they are the file, and each place is its own."""
    found = fast_items(data, "events", "id")
    if found is None:
        return False
    items = []
    for text in found[1]:
        first, _, below = text.partition("\n")
        item = fast_item(below, "id")
        if item is None or not re.fullmatch("[a-z][0-9]{7}", first):
            return False
        items.append({"id": first, **item})
    assert same(fast_data(data), {**found[0], "events": items}), data
    source = Source.from_bytes("x.yaml", data)
    reading = read_places(source)
    assert reading.root is not None
    for path in _paths(reading.root):
        for asked in (path, (*path, "absent")):
            for on_key in (False, True):
                assert item_span(source, "events", "id", asked, on_key) in (None, reading.span(asked, key=on_key)), (data, asked)
    return True


def _listed(chance: Random) -> bytes:
    """A file that ends with a list of maps, each beginning with its id; or nearly so."""
    lines = ["cask: x", "type: butt  # c", "events:"]
    for n in range(chance.randint(1, 4)):
        lines += [f"  - id: a000000{n}", *_grown(chance, 4, 2)]
    for _ in range(chance.choice((0, 0, 1))):
        at = chance.randrange(len(lines))
        lines[at : at + 1] = chance.choice(
            ([], [lines[at]] * 2, [""], [" " + lines[at]], [lines[at][2:]], ["  - x"], ["a: b"], ["    id: c"], ["    - d"], ["# e", lines[at]])
        )
    return ("\n".join(lines) + chance.choice(("", "\n", "\n\n"))).encode()


@pytest.mark.thorough
def test_a_list_taken_apart_is_the_whole_file_with_the_same_places() -> None:
    chance = Random(5)
    taken = sum(_agrees_apart(_listed(chance)) for _ in range(150))
    assert taken > 50


@pytest.mark.slow
def test_a_list_taken_apart_is_the_whole_file_at_length() -> None:
    chance = Random(6)
    assert sum(_agrees_apart(_listed(chance)) for _ in range(3000)) > 1000
