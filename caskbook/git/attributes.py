"""What `.gitattributes` files say of a path, and by which line, worked out by git itself in an empty folder: any revision, any version
of git."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.git.names import is_plain_path
from caskbook.git.repository import Git
from caskbook.git.rows import rows_of

FILE = ".gitattributes"
# The last two have no meaning to git: a hosted review folds such files away, as if a program had made them.
ASKED = ("merge", "diff", "text", "eol", "filter", "ident", "working-tree-encoding", "conflict-marker-size", "linguist-generated", "gitlab-generated")
_BINARY = {"diff", "merge", "text"}
_PLAIN = frozenset({"unspecified", "unset", "false"})
# Of two answers, one of these is the one that harms nobody; of an attribute that is not named, `_PLAIN` is.
_HARMLESS = {"merge": {"caskbook"}, "diff": {"caskbook", "set", "unspecified"}, "text": {"unset"}, "eol": {"lf"}}
_LINE = re.compile(r'[ \t\r]*("(?:[^"\\]|\\.)*"|[^ \t\r]+)(.*)', re.DOTALL)
_WORD = re.compile(r"[-!]?([A-Za-z0-9_.][-A-Za-z0-9_.]*)(=[^ \t\r]*)?")
_LETTERS = re.compile(r"[^\W\d_]+|[\[\]\\]")
_LONGEST = 2047
_MOST_KEPT, _FEW = 64, 100
_OURS = "caskbook-line-"


@dataclass(frozen=True, slots=True)
class Rule:
    """One line of a `.gitattributes`: the file's path in the repository, its 1-based line, its text."""

    file: str
    line: int
    text: str


def attributes(files: Mapping[str, bytes], paths: Sequence[str]) -> dict[str, dict[str, str]]:
    """Path → attribute → value ("set", "unset", "unspecified" or a word), as these `.gitattributes` (by path) have it.

    The machine's own settings and what a repository keeps to itself have no say. Where a machine that takes small and capital letters
    for the same would be told otherwise, the answer that switches something off counts.
    """
    plain, folded = _both(files, paths, ASKED)
    return {path: {name: folded[path][name] if _counts(name, value, folded[path][name]) else value for name, value in of.items()} for path, of in plain.items()}


def deciding_lines(files: Mapping[str, bytes], paths: Sequence[str]) -> dict[str, dict[str, Rule]]:
    """Path → attribute → the line by which it has its value; an attribute that no line speaks of is left out."""
    rules: list[Rule] = []
    macros = _macros(files.get(FILE, b""))
    marked = {name: "".join(_marked(name, data, macros, rules)).encode("utf-8", "surrogateescape") for name, data in files.items()}
    values, told = _both(files, paths, ASKED), _both(marked, paths, [_OURS + name for name in ASKED])
    found: dict[str, dict[str, Rule]] = {path: {} for path in paths}
    for path, of in found.items():
        for name in ASKED:
            folded = _counts(name, *(one[path][name] for one in values))
            value = told[folded][path][_OURS + name]
            if value.isdecimal():
                of[name] = rules[int(value)]
    return found


_Told = dict[str, dict[str, str]]


def _both(files: Mapping[str, bytes], paths: Sequence[str], names: Sequence[str]) -> tuple[_Told, _Told]:
    """What git answers where letters count as they are, and what where small and capital ones are the same."""
    plain = _answers(files, paths, names)
    return plain, _answers(files, paths, names, fold=True) if _letters_differ(files, paths) else plain


def _letters_differ(files: Mapping[str, bytes], paths: Sequence[str]) -> bool:
    """Whether a pattern may match one of these paths only where small and capital letters are the same."""
    text = b"\n".join(files.values()).decode("utf-8", "replace")
    words = {word for line in text.split("\n") if (found := _LINE.match(line)) for word in _LETTERS.findall(found[1])}
    if not words:
        return False
    listed = "\n".join(paths)
    lower = listed.lower()
    return any(word in "[]\\" or (word not in listed and word.lower() in lower) for word in words)


def _counts(name: str, value: str, folded: str) -> bool:
    """Whether, of two answers, the one without regard to letters counts: it is another, and not the harmless one."""
    return folded != value and folded not in _HARMLESS.get(name, _PLAIN)


def _answers(files: Mapping[str, bytes], paths: Sequence[str], names: Sequence[str], *, fold: bool = False) -> _Told:
    """Path → attribute → value, as git itself answers in an empty folder that holds these files alone; `fold`: with letters of either
    size the same."""
    found: dict[str, dict[str, str]] = {path: {} for path in paths}
    if not files or not paths:
        return {path: dict.fromkeys(names, "unspecified") for path in paths}
    asked = _rows if len(paths) <= _FEW else _rows.__wrapped__
    told = asked(tuple(files.items()), tuple(paths), tuple(names), fold)
    for at in range(0, len(told), 3):
        path, name, value = told[at : at + 3]
        found[path][name] = value
    return {path: of or dict.fromkeys(names, "unspecified") for path, of in found.items()}


@lru_cache(_MOST_KEPT)
def _rows(files: tuple[tuple[str, bytes], ...], paths: tuple[str, ...], names: tuple[str, ...], fold: bool) -> list[str]:
    """What `git check-attr` says: path, attribute and value by turns. It follows from the files alone, and is kept, that of many
    paths apart: one review asks the same of each of its commits."""
    with tempfile.TemporaryDirectory(prefix="caskbook-") as made:
        own = Path(made) / ".git"
        for name in ("objects", "refs"):
            (own / name).mkdir(parents=True)
        (own / "HEAD").write_bytes(b"ref: refs/heads/main\n")  # The least that git takes for a repository.
        for file, data in files:
            _lay_out(Path(made), file, data)
        asked = "".join(f"{path}\0" for path in paths if is_plain_path(path))
        settings = ("-c", "core.attributesFile=", "-c", f"core.ignoreCase={str(fold).lower()}")
        return rows_of(Git(Path(made)).run(*settings, "check-attr", "-z", "--stdin", *names, data=asked.encode("utf-8", "surrogateescape")))


def _lay_out(top: Path, name: str, data: bytes) -> None:
    """Put a `.gitattributes` of a tree below a folder; not where no work tree could hold it, and git would never read it."""
    if not is_plain_path(name):
        return
    place = top / name
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(data)
    except (FileExistsError, NotADirectoryError, IsADirectoryError):  # a tree can have a file and a folder of one name
        return
    except OSError as error:
        raise CaskbookError(f"{ascii(name[:80])}: what git is told there cannot be looked up ({(error.strerror or str(error)).lower()})") from None


def lines_of(data: bytes) -> list[str]:
    """The lines of a `.gitattributes`, as git takes them: a mark of bytes at its start is none of the text."""
    return data.removeprefix(b"\xef\xbb\xbf").decode("utf-8", "surrogateescape").split("\n")


def _marked(name: str, data: bytes, macros: Mapping[str, set[str]], rules: list[Rule]) -> Iterator[str]:
    """Each line with its pattern as it is, and behind it, for each attribute that it speaks of, one of ours with the line's number."""
    for n, text in enumerate(lines_of(data), 1):
        pattern, words = _parts(text)
        spoken = {one for word in words for one in ({word.lstrip("-!").partition("=")[0]} | (macros.get(word, set())))}
        told = [one for one in ASKED if one in spoken]
        if told:
            rules.append(Rule(name, n, text.strip()))
            yield f"{pattern} {' '.join(f'{_OURS}{one}={len(rules) - 1}' for one in told)}\n"


def _parts(text: str) -> tuple[str, list[str]]:
    """The pattern of a line and its words; nothing of a comment, of a definition, or of a line that git leaves out."""
    found = _LINE.fullmatch(text)
    if found is None or found[1].startswith(("#", "[attr]", "!")) or len(text.encode("utf-8", "surrogateescape")) > _LONGEST:
        return "", []
    words = found[2].split()
    return (found[1], words) if all(_WORD.fullmatch(word) for word in words) else ("", [])


def _macros(top: bytes) -> dict[str, set[str]]:
    """A word that stands for several attributes → those, as the topmost `.gitattributes` defines it; `binary` is git's own."""
    found = {"binary": set(_BINARY)}
    for text in lines_of(top):
        if text.lstrip().startswith("[attr]"):
            name, *words = text.lstrip().removeprefix("[attr]").split() or [""]
            found[name] = set().union(*({word.lstrip("-!").partition("=")[0]} | found.get(word, set()) for word in words)) if words else set()
    return found
