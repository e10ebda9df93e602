"""The append-only law for what `.gitattributes` do to a ledger's files: our merge, their bytes, and the diff that an auditor reads.

landed-merge-switched-off: `.gitattributes` no longer gives casks our merge, or lets git change their bytes.
Why: without it git merges by lines, and two benches' work on one cask is mixed up or lost without a word.
Wrong:
    # landed
    casks/** merge=caskbook
    # now
    casks/** text
Right:
    # landed
    casks/** merge=caskbook
    # now
    casks/** merge=caskbook

landed-diff-switched-off: `.gitattributes` hides what changes in casks or house.yaml from whoever reads a diff.
Why: with `-diff` or `binary` a diff says no more than "Binary files differ", and an altered entry passes every review.
Wrong:
    # landed
    casks/** diff=caskbook
    # now
    casks/** -diff
Right:
    # landed
    casks/** diff=caskbook
    # now
    casks/** diff=caskbook

landed-encoding-changed: `.gitattributes` has git write casks or house.yaml in another encoding than they were committed in.
Why: whoever clones the book from then on has files in it that no reader of YAML in UTF-8 can read, and no book.
Wrong:
    # landed
    casks/** merge=caskbook
    # now
    casks/** merge=caskbook working-tree-encoding=UTF-16LE
Right:
    # landed
    casks/** merge=caskbook
    # now
    casks/** merge=caskbook
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from caskbook.checks.landed import Breach, value_text
from caskbook.core.finding import Finding, Severity, Span
from caskbook.git.attributes import Rule, attributes, deciding_lines, lines_of

_MERGE, _DIFF, _ENCODING = "landed-merge-switched-off", "landed-diff-switched-off", "landed-encoding-changed"
CODES: dict[str, Severity] = {_MERGE: "warning", _DIFF: "warning", _ENCODING: "error"}
_OFF = ("unspecified", "unset")
_HELP = {
    _MERGE: "put the line back: caskbook git install",
    _DIFF: "take the line away: every change of a cask is to be seen in a diff",
    _ENCODING: "take the line away: a cask file is UTF-8",
}
_DIFFS = ("set", "caskbook", "unspecified")
# These are the attributes by which git comes to each of them.
_BY = {"eol": ("eol", "text")}


@dataclass(frozen=True)
class Marks:
    """The `.gitattributes` of one state of a repository (by path), and the ledger's files in it that are asked about."""

    files: Mapping[str, bytes]
    paths: tuple[str, ...] = field(default=())

    @cached_property
    def values(self) -> dict[str, dict[str, str]]:
        """Path → attribute → value."""
        return attributes(self.files, self.paths)

    @cached_property
    def lines(self) -> set[tuple[str, str]]:
        """(file, text) of each line."""
        return {(name, text.strip()) for name, data in self.files.items() for text in lines_of(data)}


def attribute_breaches(shown: str, prefix: str, old: Marks, new: Marks) -> Iterator[Breach]:
    """What was switched off for files of the ledger at `prefix`, each matter once, at the line that has, or had, the rule."""
    switched = [(name, *matter) for name, after in new.values.items() for matter in _switched(old.values.get(name, {}), after)]
    if not switched:
        return
    names = list(dict.fromkeys(name for name, *_ in switched))
    before, now_by = (deciding_lines(marks.files, names) for marks in (old, new))
    matters: dict[tuple[str, str, str, str, Rule | None], list[str]] = {}
    for name, code, key, was, now in switched:
        rule = _rule(_BY.get(key, (key,)), before[name], now_by[name], old, new)
        matters.setdefault((code, key, was, now, rule), []).append(name)
    for (code, key, was, now, rule), of in matters.items():
        more = f" and {len(of) - 1} more" if len(of) > 1 else ""
        message = f"`{key}` of {of[0].rpartition('/')[2]}{more} was {value_text(was).strip(_QUOTES)} when it landed, is {value_text(now).strip(_QUOTES)}"
        path = rule.file if rule is not None else next(iter(new.files), ".gitattributes")
        span = Span(rule.line, 1, rule.line, 1) if rule is not None else Span(1, 1, 1, 1)
        yield Breach(
            Finding(code, CODES[code], message, shown_path(shown, prefix, path), span, _HELP[code]),
            ("attribute", key, path, was, now, rule.text if rule is not None else ""),
            was,
            now,
            text=of[0].encode("utf-8", "surrogateescape"),
        )


_QUOTES = '"'


def _rule(keys: Iterable[str], before: Mapping[str, Rule], now: Mapping[str, Rule], old: Marks, new: Marks) -> Rule | None:
    """The line that made a value another: one that is new, else one that is gone, else the one that decides now."""
    listed = tuple(keys)
    has, had = ([rules[key] for key in listed if key in rules] for rules in (now, before))
    fresh = [rule for rule in has if (rule.file, rule.text) not in old.lines]
    gone = [rule for rule in had if (rule.file, rule.text) not in new.lines]
    return next(iter([*fresh, *gone, *has, *had]), None)


def shown_path(shown: str, prefix: str, path: str) -> str:
    """A path of the repository as it is shown beside those of a ledger at `prefix`, before which `shown` is put."""
    if shown.endswith(prefix):
        return shown[: len(shown) - len(prefix)] + path
    return shown + os.path.relpath(path, prefix or ".").replace(os.sep, "/")


def is_undone(breach: Breach, values: Mapping[str, str]) -> bool:
    """Whether these values of its first file no longer are what the breach told of."""
    _, key, _, was, *_ = breach.unit
    before = {"text": "unset"} if key == "eol" and was == "-text" else {key: was}
    return key not in {name for _, name, _, _ in _switched(before, values)}


def blinds(values: Mapping[str, str]) -> list[tuple[str, str, str, str]]:
    """What these attributes do to a file that is new: (code, attribute, usual value, value)."""
    return list(_switched({}, values))


def _switched(old: Mapping[str, str], new: Mapping[str, str]) -> Iterator[tuple[str, str, str, str]]:
    """(code, attribute, was, is) for each attribute of a path that takes our merge, our bytes or the diff away and did not before."""
    was, now = (told.get("merge", "unspecified") for told in (old, new))
    if now != was and (was == "caskbook" or now not in ("set", "unspecified", "caskbook", "text")):
        yield _MERGE, "merge", was, now
    if _keeps_bytes(old) and not _keeps_bytes(new):
        yield _MERGE, "eol", old.get("eol", "unspecified") if old.get("text") != "unset" else "-text", new.get("eol", "unspecified")
    elif new.get("eol") == "crlf" != old.get("eol"):
        yield _MERGE, "eol", old.get("eol", "unspecified"), "crlf"
    was, now = (told.get("working-tree-encoding", "unspecified") for told in (old, new))
    if now not in (*_OFF, "set") and now != was and now.replace("-", "").casefold() != "utf8":
        yield _ENCODING, "working-tree-encoding", was, now
    for key in ("filter", "ident", "conflict-marker-size"):
        was, now = (told.get(key, "unspecified") for told in (old, new))
        if now not in _OFF and now != was:
            yield _MERGE, key, was, now
    was, now = (told.get("diff", "unspecified") for told in (old, new))
    if now not in _DIFFS and now != was:
        yield _DIFF, "diff", was, now
    for key in ("linguist-generated", "gitlab-generated"):
        was, now = (told.get(key, "unspecified") for told in (old, new))
        if now not in (*_OFF, "false") and now != was:
            yield _DIFF, key, was, now


def _keeps_bytes(told: Mapping[str, str]) -> bool:
    """Whether newlines come out of git as they went in."""
    return told.get("text") == "unset" or told.get("eol") == "lf"
