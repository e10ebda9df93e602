"""What may follow on a command line. Only the standard library's lightest parts are loaded: a shell waits for this at each Tab."""

from __future__ import annotations

import os

from caskbook.cli.completing.book import berths, casks, crew, events, house_text, ledger_here, stores

_SWITCH, _FILE = "", "file"
_DAYS = ("today", "yesterday", "mon", "tue", "wed", "thu", "fri", "sat", "sun")
_PLACES = ("joint-", "stave-", "head-A", "head-B", "croze-A-", "croze-B-", "chime-A-", "chime-B-", "hoop-A-", "hoop-B-", "bung", "unseen")
_AFTER = {"void": ("cask", "event"), "move-event": ("cask", "event"), "show": ("cask",), "init": ("file",), "demo": ("file",), "schema": ("file",),
          "stamp": ("file",) * 9, "completion": ("word=bash,zsh,fish",), "explain": ("explained",), "shift": ("by",), "git install": (), "git uninstall": (),
          "import register": ("file",), "import map": ("file",), "query": ("questions",), "report service": ("word=char,cask,stave",), "days": ("day",)}  # fmt: skip
"""What stands behind a command without an option, in order; behind the others stand casks."""
_NO_CASKS = ("bench", "undo", "settle", "sheet")
_MOST = 3000

Found = list[str]


class Tables:
    """What the program can be told, as `tables.txt` keeps it: commands, options and jobs with what follows each."""

    def __init__(self) -> None:
        """Read the file."""
        self.commands: dict[str, str] = {}
        self.jobs: dict[str, str] = {}
        self.lists: dict[str, list[str]] = {}
        self.options: dict[str, dict[str, str]] = {}
        with open(os.path.join(os.path.dirname(__file__), "tables.txt"), encoding="utf-8") as file:
            for line in file:
                kind, name, *more = line.rstrip("\n").split("\t")
                rest = more[0] if more else ""
                if kind == "command":
                    self.commands[name] = rest
                elif kind == "job":
                    self.jobs[name] = rest
                elif kind == "list":
                    self.lists[name] = rest.split()
                else:
                    self.options[name] = {option: takes for option, _, takes in (one.partition("=") for one in rest.split())}


def answer(words: list[str]) -> str:
    """The lines that a shell reads: what kind of words they are (`words`; `open`: more is to follow at once; `files`), then the words,
    each with what it means behind a tab. `words`: the line up to the cursor, the program first, the last one begun or empty."""
    try:
        found = _follows(_whole(words[1:] or [""]))
    except (OSError, ValueError):
        found = []
    if found == [_FILE]:
        return "files\n"
    last = (words or [""])[-1]
    option, sign, begun = last.partition("=") if last.startswith(("--", "=")) and "=" in last else ("", "", last)
    lead = option + sign if option else ""
    fits = [lead + word for word in dict.fromkeys(found) if word.startswith(begun)][:_MOST]
    kind = "open" if fits and all(word.partition("\t")[0].endswith(("-", "/", "+")) or word.removeprefix(lead) in _Open.words for word in fits) else "words"
    return "\n".join([kind, *fits]) + "\n"


class _Open:
    """Words found in this run behind which more is to follow without a blank."""

    words: set[str] = set()


def _whole(words: list[str]) -> list[str]:
    """The words as the program gets them: some shells part `--by=ab` at the sign."""
    found: list[str] = []
    parted = False
    for word in words:
        if parted:
            found[-1], parted = word, False
        elif word == "=" and found and found[-1].startswith("--"):
            found.append("")
            parted = True
        elif word.startswith("--") and "=" in word:
            found += word.split("=", 1)
        else:
            found.append(word)
    return found


def _follows(words: list[str]) -> Found:
    """The words that may stand where the last one is begun."""
    tables, begun = Tables(), words[-1]
    if len(words) == 1:
        return ["--help", "--version"] if begun.startswith("-") else [f"{name}\t{says}" for name, says in tables.commands.items()]
    command = words[0]
    if f"{command} " in {f"{name.partition(' ')[0]} " for name in tables.options if " " in name} and command != "enter":
        if len(words) == 2:
            return [name.partition(" ")[2] for name in tables.options if name.startswith(f"{command} ")]
        command = f"{command} {words[1]}"
    if command == "enter":
        return _of_enter(tables, words[1:])
    options = tables.options.get(command, {})
    if begun.startswith("-"):
        return [*options, "--help"]
    if words[-2] in options and options[words[-2]] != _SWITCH:
        return _valued(tables, options[words[-2]], words, begun)
    loose = [word for n, word in enumerate(words[command.count(" ") + 1 : -1]) if not word.startswith("-")]
    kinds = _AFTER.get(command, () if command in _NO_CASKS else ("cask",) * (len(loose) + 1))
    more = tables.lists["rules"] if command == "due" else []
    return [*more, *(_valued(tables, kinds[len(loose)], words, begun) if len(loose) < len(kinds) else [])]


def _of_enter(tables: Tables, words: list[str]) -> Found:
    """Behind `enter`: a job, several joined by +, a scan or a sheet; then casks, words and options of the job."""
    begun = words[-1]
    if len(words) == 1 or (len(words) == 2 and words[0] == "scan"):
        before, plus, _ = begun.rpartition("+")
        more = {"scan": "a cask a line, from a scanner", "sheet": "a day's work from paper"} if len(words) == 1 and not plus else {}
        return [f"{before}{plus}{name}\t{says}" for name, says in {**tables.jobs, **more}.items()]
    if words[0] == "scan":
        words = words[1:]
    jobs = [job for job in words[0].split("+") if job in tables.jobs]
    options = {option: takes for job in ("run", *jobs) for option, takes in tables.options[f"enter {job}"].items()}
    if words[0] == "sheet":
        options = tables.options["enter sheet"]
    if begun.startswith("-"):
        return [*options, "--help"]
    if words[-2] in options and options[words[-2]] != _SWITCH:
        return _valued(tables, options[words[-2]], words, begun)
    if words[0] == "sheet":
        return _valued(tables, "job", words, begun) if words[-2] == "--type" else _casks(words, begun) if "--type" in words else [_FILE]
    loose = [word for job in jobs for word in tables.lists.get(f"loose {job}", [])]
    places = [*_PLACES, *tables.lists["defects"]] if "PLACE" in loose else []
    return [*(word for word in loose if word != "PLACE"), *(_marked(places) if begun else []), *_casks(words, begun)]


def _marked(places: Found) -> Found:
    _Open.words |= {one for one in places if one.endswith("-")}
    return places


def _casks(words: list[str], begun: str) -> Found:
    """Casks by the folder they lie in: folders first, then the casks of the one that is meant; the end of a range as well."""
    root = ledger_here(words)
    if root is None:
        return []
    lead, dots, end = begun.rpartition("..")
    found, whole = casks(root, end if dots and not end.isdecimal() else begun)
    if not whole:
        _Open.words |= set(found)
    return [lead + dots + one for one in found] if dots else found


def _valued(tables: Tables, kind: str, words: list[str], begun: str) -> Found:
    """The values that an option, or a place on the line, may take."""
    name, _, given = kind.partition("=")
    if name in ("word", "words"):
        return given.split(",")
    root = ledger_here(words)
    if name == "cask":
        return _casks(words, begun)
    if name in tables.lists:
        return tables.lists[name]
    if name == "explained":
        return [*tables.lists["explained"], *tables.jobs, *tables.lists["rules"]]
    if name == "job":
        return [f"{job}\t{says}" for job, says in tables.jobs.items()]
    if name == "day":
        return list(_DAYS)
    if name == "place":
        return _marked([*_PLACES, *tables.lists["defects"]])
    if name == _FILE:
        return [_FILE]
    return _of_book(root, name, words, begun) if root is not None else []


def _of_book(root: str, name: str, words: list[str], begun: str) -> Found:
    """What only the book knows: its crew, its stores and berths, the entries of a cask."""
    if name == "by":
        return [f"{initials}\t{called}" if called else initials for initials, called in crew(house_text(root))]
    if name == "store":
        return list(dict.fromkeys(stores(house_text(root)).values()))
    if name == "berth":
        found, more = berths(root, begun, list(stores(house_text(root))))
        _Open.words |= more
        return found
    if name == "event":
        named = [word for word in words if any(sign.isdigit() for sign in word) and not word.startswith("-")]
        return events(root, named[0]) if named else []
    return []
