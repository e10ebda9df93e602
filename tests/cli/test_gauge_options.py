"""Every pair of options of a gauging command is either refused, with both named, or both change the answer."""

from __future__ import annotations

import itertools
from collections.abc import Collection
from pathlib import Path

import pytest
from commands import caskbook
from typer.main import get_command

from caskbook.cli.commands.gauge_options import gauge as app
from caskbook.cli.commands.gauge_pairs import CLASHES, IDLE

RECORDS = str(Path(__file__).parents[2] / "records")
# Option → a value, and another that must make another answer; None: the option is left out, as a switch is.
SAMPLES: dict[str, dict[str, tuple[str, str | None]]] = {
    "strength": {
        "--indicated": ("50", "51"), "--hydrometer-proof": ("80", "81"), "--density": ("930", "931"), "--mass-percent": ("50", "51"),
        "--temp": ("12", "13"), "--temp-f": ("61", "63"),
    },
    "volume": {"--abv": ("60", "61"), "--litres": ("200", "201"), "--kg": ("150", "151"), "--temp": ("12", "22"), "--in-air": ("", None)},
    "density": {"--abv": ("60", "61"), "--mass-percent": ("50", "51"), "--temp": ("12", "13")},
    "capacity": {"--bung": ("660", "661"), "--head": ("560", "561"), "--length": ("840", "841"), "--shape": ("cone", "spheroid")},
    "ullage": {
        "--bung": ("660", "661"), "--head": ("560", "561"), "--length": ("840", "841"), "--shape": ("cone", "spheroid"),
        "--cask": ("TH-003379", "TH-003380"), "--records": (RECORDS, "nowhere"), "--wet": ("300", "301"), "--dry": ("200", "201"),
        "--standing": ("", None), "--capacity": ("250", "251"), "--table": ("", None),
    },
    "head": {"--step": ("265", "266"), "--step-in": ("wall", "croze"), "--groove": ("4", "5"), "--allowance": ("1", "2")},
    "pressure": {"--psi": ("11", "12"), "--head": ("530", "531"), "--litres": ("200", "201")},
}  # fmt: skip
# What a command needs beside the pair, the first fitting line first.
BESIDE: dict[str, list[dict[str, str]]] = {
    "strength": [{}, {"--temp": "12"}, {"--density": "930"}],
    "volume": [{"--abv": "60", "--litres": "200"}, {"--abv": "60", "--kg": "150"}, {"--abv": "60", "--kg": "150", "--in-air": ""}, {"--abv": "60"}],
    "density": [{}, {"--abv": "60"}],
    "capacity": [{"--bung": "660", "--head": "560", "--length": "840"}],
    "ullage": [{}, {"--bung": "660", "--head": "560", "--length": "840"}, {"--bung": "660", "--head": "560", "--length": "840", "--wet": "300"}],
    "head": [{"--step": "265"}, {"--step": "265", "--step-in": "wall", "--groove": "4"}],
    "pressure": [{"--psi": "11", "--head": "530", "--litres": "200"}],
}  # fmt: skip
# Lying, the share that a dip makes does not depend on the length once the capacity was measured; the length is a measure of the
# cask all the same, needed where it stands, so nobody is refused for giving it.
LENGTH = ("ullage", "--length", {"--length", "--capacity"})
PAIRS = [
    (command, one, other)
    for command, options in SAMPLES.items()
    for one, other in itertools.combinations(options, 2)
    if {one, other} != {"--cask", "--records"}
]  # that pair needs a book, and has a test of its own below


def run(command: str, given: dict[str, str]) -> tuple[int, str, str]:
    words = [word for option, value in given.items() for word in (option, value) if word]
    done = caskbook("gauge", command, *words, "--format", "json")
    return done.returncode, done.stdout, done.stderr


def refused(command: str, one: str, other: str) -> bool:
    """Whether the pair itself is refused, in one line that names both and says what to leave out."""
    given = {option: SAMPLES[command][option][0] for option in (one, other)}
    code, out, err = run(command, {**needed(command, given), **given})
    line = err.strip().split("\n")[-1]
    idle = any(row.command == command and row.one in given and row.needs not in given and row.line() in line for row in IDLE)
    return code == 2 and not out and "leave" in line and (idle or (one in line and other in line))


def needed(command: str, given: Collection[str]) -> dict[str, str]:
    """What is demanded before a pair is judged."""
    if command == "ullage" and "--cask" not in given:
        return {option: SAMPLES[command][option][0] for option in ("--bung", "--head", "--length")}
    must = {"volume": ("--abv",), "capacity": ("--bung", "--head", "--length"), "head": ("--step",), "pressure": ("--psi", "--head", "--litres")}
    return {option: SAMPLES[command][option][0] for option in must.get(command, ())}


def test_the_samples_leave_no_option_out() -> None:
    for name, command in get_command(app).commands.items():  # type: ignore[attr-defined]
        options = {word for one in command.params for word in one.opts if word.startswith("--")} - {"--format", "--help"}
        assert options == set(SAMPLES[name]), name


@pytest.mark.thorough
@pytest.mark.parametrize(("command", "one", "other"), PAIRS)
def test_a_pair_is_refused_or_both_change_the_answer(command: str, one: str, other: str) -> None:
    if refused(command, one, other):
        return
    samples = SAMPLES[command]
    for beside in BESIDE[command]:
        given = {**beside, one: samples[one][0], other: samples[other][0]}
        code, out, _ = run(command, given)
        if code == 0:
            break
    assert code == 0, f"{command}: {one} and {other} are neither refused nor answered"
    for option in (one, other):
        if (command, option, {one, other}) == LENGTH:
            continue
        changed = {**given, option: samples[option][1] or ""}
        if samples[option][1] is None:
            del changed[option]
        assert run(command, changed)[1] != out, f"{command}: {option} does nothing beside {other if option == one else one}"


@pytest.mark.parametrize(("command", "words", "line"), [
    ("volume", "--abv 60 --litres 200 --in-air", "--litres with --in-air"),
    ("volume", "--abv 60 --kg 150 --temp 12", "--kg with --temp"),
    ("strength", "--indicated 50 --temp 12 --temp-f 60", "--temp with --temp-f"),
    ("head", "--step 265 --groove 4", "--groove with --step-in croze"),
    ("ullage", "--bung 660 --head 560 --length 840 --wet 300 --dry 300", "together 600 mm, and --bung is 660 mm"),
    ("ullage", "--bung 660 --head 560 --length 840 --wet 300 --records .", "--records without --cask"),
])  # fmt: skip
def test_what_is_refused_says_what_to_leave_out(command: str, words: str, line: str) -> None:
    done = caskbook("gauge", command, *words.split())
    assert done.returncode == 2 and line in done.stderr and "leave" in done.stderr and done.stderr.count("\n") == 1


def test_two_dips_that_add_up_are_one_measurement() -> None:
    both = caskbook("gauge", "ullage", *["--bung", "660", "--head", "560", "--length", "840", "--wet", "400", "--dry", "260"])
    assert both.returncode == 0
    assert both.stdout == caskbook("gauge", "ullage", *["--bung", "660", "--head", "560", "--length", "840", "--wet", "400"]).stdout
    standing = caskbook("gauge", "ullage", *["--bung", "660", "--head", "560", "--length", "840", "--wet", "400", "--dry", "440", "--standing"])
    assert standing.returncode == 0


def test_each_row_of_the_table_is_met() -> None:
    for row in CLASHES:
        if not row.other.startswith("--step-in "):
            assert refused(row.command, row.one, row.other), row
    for row in IDLE:
        assert row.one in SAMPLES[row.command] and row.needs in SAMPLES[row.command]


@pytest.mark.parametrize(("words", "meant"), [
    ("capacity --bung 26 --head 22 --length 34", "did you mean inches: --bung 26in --head 22in --length 34in?"),
    ("capacity --bung 66 --head 56 --length 84", "did you mean centimetres: --bung 66cm --head 56cm --length 84cm?"),
    ("capacity --bung 26 --head 22 --length 864mm", "did you mean inches: --bung 26in --head 22in --length 864mm?"),
    ("ullage --bung 26 --head 22 --length 34 --wet 13", "--bung 26in --head 22in --length 34in?"),
    ("pressure --psi 11 --head 21 --litres 200", "did you mean inches: --head 21in?"),
    ("head --step 10.4", "did you mean inches: --step 10.4in?"),
])  # fmt: skip
def test_inches_meant_are_asked_about(words: str, meant: str) -> None:
    done = caskbook("gauge", *words.split())
    assert done.returncode == 2 and meant in done.stderr and not done.stdout


def test_nothing_is_no_answer() -> None:
    done = caskbook("gauge", "capacity", "--bung", "12mm", "--head", "11mm", "--length", "20mm")
    assert done.returncode == 2 and "no cask is as small" in done.stderr and not done.stdout


def test_a_terminal_is_asked_and_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("caskbook.cli.entering.ask.on_terminal", lambda: True)
    monkeypatch.setattr("caskbook.cli.entering.ask.answer", lambda prompt: "" if "inches" in prompt else "n")
    done = caskbook("gauge", "capacity", "--bung", "26", "--head", "22", "--length", "34")
    assert done.returncode == 0
    assert done.stdout == caskbook("gauge", "capacity", "--bung", "26in", "--head", "22in", "--length", "34in").stdout


def test_a_cask_and_its_book_both_change_the_answer(tmp_path: Path) -> None:
    for book, lengths in (("a", (840, 850)), ("b", (860, 870))):
        (tmp_path / book / "casks" / "TH-000").mkdir(parents=True)
        (tmp_path / book / "house.yaml").write_text("name: x\n")
        for n, length in enumerate(lengths, 1):
            (tmp_path / book / "casks" / "TH-000" / f"TH-00000{n}.yaml").write_text(
                f"cask: TH-00000{n}\nformat: 1\ntype: barrel\nevents:\n  - {{id: e1000001, date: 2020-01-01, job: receive, verdict: accept}}\n"
                f"  - {{id: e1000002, date: 2020-01-02, job: measure, dims_mm: {{bung: 660, head: 560, length: {length}}}}}\n"
            )
    told = {run("ullage", {"--cask": cask, "--records": str(tmp_path / book)})[1] for cask in ("TH-000001", "TH-000002") for book in "ab"}
    assert len(told) == 4 and "" not in told
