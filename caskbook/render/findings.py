"""Findings as text: in full with the user's own lines, one line each, or as an explanation. Plain text, no styles."""

from __future__ import annotations

import re
import textwrap
from collections import Counter
from collections.abc import Callable, Iterable, Sequence

from rich.cells import cell_len

from caskbook.checks import exit_code
from caskbook.checks.explain import Explanation
from caskbook.core.finding import SEVERITIES, Finding
from caskbook.render.console import USUAL_WIDTH, safe
from caskbook.yaml.source import Source

__all__ = ["Texts", "concise_text", "excerpt", "exit_code", "explained_text", "findings_text", "listed_codes", "summary"]

Texts = Callable[[str], bytes | None]
# Of a very long line only the part about the place is shown.
_BEFORE, _AFTER = 60, 100
_BAR = " | "
_KEPT = "\N{NO-BREAK SPACE}"


def findings_text(findings: Iterable[Finding], casks: int, texts: Texts, *, notes: bool = False) -> str:
    """Each finding with its line of the file and a pointer, then a summary. `texts` gives the bytes of a shown path.

    Notes are only counted, unless `notes`.
    """
    found = list(findings)
    sources: dict[str, Source | None] = {}
    blocks = [_block(one, _source(one.path, texts, sources)) for one in found if notes or one.severity != "note"]
    return "\n".join([*blocks, summary(found, casks, notes=notes)])


def concise_text(findings: Iterable[Finding], *, notes: bool = False) -> str:
    """One line each: path:line:column: severity code message."""
    shown = [one for one in findings if notes or one.severity != "note"]
    return "".join(f"{_place(one)}: {one.severity} {one.code} {safe(one.message)}\n" for one in shown)


def summary(findings: Sequence[Finding], casks: int, *, notes: bool = True) -> str:
    """ "61 casks: 1 error, 2 warnings  (caskbook explain CODE)" with its newline."""
    counts = Counter(one.severity for one in findings)
    parts = [_counted(counts[severity], severity) for severity in SEVERITIES if counts[severity]]
    hidden = counts["note"] and not notes
    told = ", ".join(parts) if parts else "nothing wrong"
    first = next((one.code for severity in SEVERITIES for one in findings if one.severity == severity), None)
    hint = f"(caskbook explain {first})" if first and not (hidden and len(parts) == 1) else ""
    whole = f"{_counted(casks, 'cask')}: {told}{' (not shown)' if hidden else ''}"
    gap = "  " if len(whole) + len(hint) + 2 <= USUAL_WIDTH else "\n  "
    return whole + (gap + hint if hint else "") + "\n"


def _counted(count: int, word: str) -> str:
    return f"{count:,} {word}" + ("" if count == 1 else "s")


def _place(one: Finding) -> str:
    return f"{safe(one.path)}:{one.span.line}:{one.span.column}"


def _source(path: str, texts: Texts, known: dict[str, Source | None]) -> Source | None:
    """The text of one file; only the last is kept, for findings come file by file."""
    if path not in known:
        known.clear()
        data = texts(path)
        known[path] = None if data is None else Source.from_bytes(path, data)
    return known[path]


def _block(one: Finding, source: Source | None) -> str:
    lines = [f"{_place(one)}  {one.severity}  {one.code}"]
    lines += excerpt(one, source) if source is not None and source.line(one.span.line).strip() else [f"   {safe(one.message)}"]
    if one.help:
        advice, command, rest = safe(one.help).partition(": caskbook ")
        lines.append(f"   help: {advice}" + (":" if command else ""))
        lines += [f"         caskbook {rest}"] if command else []
    return "\n".join(lines) + "\n"


def excerpt(one: Finding, source: Source) -> list[str]:
    """The user's line, the one above it where the fault stands inside an entry, and the pointer with the message."""
    span = one.span
    line = source.line(span.line)
    width = max(5, len(str(span.line)) + 1)
    start = span.column - 1
    end = span.end_column - 1 if span.end_line == span.line else len(line)
    first = start - _BEFORE if len(line) > _BEFORE + _AFTER and start > _BEFORE else 0
    cut = line[first : max(first, start) + _AFTER]
    before = ("…" if first else "") + safe(cut[: start - first])
    marked = safe(cut[start - first : end - first])
    after = safe(cut[end - first :]) + ("…" if first + len(cut) < len(line) else "")
    shown = [f"{span.line:>{width}}{_BAR}{before}{marked}{after}"]
    above = source.line(span.line - 1)
    if line[:1] in (" ", "-") and above.strip() and len(above) <= _BEFORE + _AFTER and not line.lstrip().startswith("- "):
        shown.insert(0, f"{span.line - 1:>{width}}{_BAR}{safe(above)}")
    return [*shown, *_pointed(" " * cell_len(before) + "^" * max(1, cell_len(marked)), safe(one.message), f"{'':>{width}}{_BAR}")]


def _pointed(pointer: str, message: str, margin: str) -> list[str]:
    """The message behind the pointer where there is room, else in the next line."""
    if cell_len(margin) + len(pointer) + 1 + cell_len(message) <= USUAL_WIDTH:
        return [f"{margin}{pointer} {message}"]
    return [margin + pointer, margin + message]


def explained_text(one: Explanation, width: int | None = None) -> str:
    """What a code means, why it matters, and a wrong and a right example; examples are folded only where there is a width."""
    prose = min(width or USUAL_WIDTH, USUAL_WIDTH) - 2
    lines = [f"{one.code} ({one.severity})", "", *_folded(one.what, prose), "", *_folded(f"Why: {one.why}", prose)]
    for word, example in (("Wrong:", one.wrong), ("Right:", one.right)):
        lines += ["", word, *_example([f"    {line}".rstrip() for line in example.splitlines()], width)]
    return "\n".join(lines) + "\n"


def _example(lines: Sequence[str], width: int | None) -> list[str]:
    """The lines of an example; one too long is folded after a comma, which YAML in braces reads alike."""
    if width is None or max(map(cell_len, lines), default=0) <= width:
        return list(lines)
    whole: list[str] = []
    for line in lines:
        if whole and whole[-1].count("{") > whole[-1].count("}"):
            whole[-1] += " " + line.strip()
        else:
            whole.append(line)
    return [part for line in whole for part in _after_commas(line, width)]


def _after_commas(line: str, width: int) -> list[str]:
    """A line folded between the items of its map."""
    if cell_len(line) <= width:
        return [line]
    indent = len(line) - len(line.lstrip())
    kept = re.sub(r"(?<!,) (?=\S)", _KEPT, line[indent:])
    folded = textwrap.wrap(kept, width - indent, subsequent_indent="   ", break_long_words=False, break_on_hyphens=False)
    return [" " * indent + part.replace(_KEPT, " ") for part in folded]


def listed_codes(rows: Sequence[tuple[str, str, str]], width: int | None) -> str:
    """Rows of (code, kind, what it means), the meaning folded within `width`; whole lines without one."""
    codes, kinds = (max(len(row[at]) for row in rows) for at in (0, 1))
    lines: list[str] = []
    for code, kind, what in rows:
        lead = f"{code:<{codes}}  {kind:<{kinds}}  "
        lines += [lead + what] if width is None else textwrap.wrap(
            what, max(width, len(lead) + 20), initial_indent=lead, subsequent_indent=" " * len(lead), break_on_hyphens=False
        )  # fmt: skip
    return "\n".join(line.rstrip() for line in lines)


def _folded(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width, break_long_words=False, break_on_hyphens=False) or [""]
