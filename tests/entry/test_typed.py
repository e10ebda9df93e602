from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic.fields import FieldInfo

from caskbook.cli.entering.help import hint_of
from caskbook.core.finding import CaskbookError
from caskbook.entry.fields import LISTS, JobField, field_of, head_fields, job_fields
from caskbook.entry.labels import label_of, short_unit
from caskbook.entry.request import read_request
from caskbook.entry.terms import Terms, TypedError
from caskbook.entry.typed import READERS, read_field
from caskbook.gauging.units import KINDS
from caskbook.model.house import Settings
from caskbook.model.jobs import JOBS
from caskbook.model.jobs.base import Day, number
from caskbook.model.places import Frame
from caskbook.model.typed import _LISTS as LISTED
from caskbook.model.typed import FIGURES, kind_of
from entry.shop import Shop

DAY = date(2026, 11, 25)


def terms(**house: Any) -> Terms:
    return Terms(Settings(**house), DAY, Frame(31, (5, 5), 6))


def read(job: str, key: str, *texts: str, into: Terms | None = None) -> Any:
    one = field_of(job, key) or next(one for one in head_fields() if one.key == key)
    return read_field(one, texts, into or terms())


def test_every_field_of_every_job_can_be_read() -> None:
    fields = [one for job in JOBS for one in job_fields(job)] + list(head_fields())
    assert {one.kind for one in fields} <= set(READERS)
    assert all(one.names[0] == one.key for one in fields)


def test_a_list_of_whatever_is_listed_is_typed_and_shown() -> None:
    """A job that is still to come may have a list of days, though none has one so far."""
    for kind in LISTED.values():
        assert kind in READERS and kind in LISTS and hint_of(JobField("test", "turned", kind, False, "")), kind
    turned = JobField("test", "turned", kind_of(FieldInfo.from_annotation(list[Day])), True, "")
    assert read_field(turned, ["2026-11-19, yesterday", "-2"], terms()) == [date(2026, 11, 19), date(2026, 11, 24), date(2026, 11, 23)]
    with pytest.raises(TypedError, match="turned: '?soon"):
        read_field(turned, ["2026-11-19, soon"], terms())
    with pytest.raises(TypeError, match=r"^write Annotated\[…, Typed\(KIND\)\], or a list of stave, .*, day: nothing says"):
        kind_of(FieldInfo.from_annotation(list[bytes]))


def test_a_figure_that_nobody_could_type_is_refused_where_it_is_defined() -> None:
    assert tuple(KINDS) == FIGURES
    assert {one.quantity for job in JOBS for one in job_fields(job) if one.quantity} <= set(FIGURES)
    for unit, kind in (("bar", None), ("psi", "bar")):
        with pytest.raises(TypeError, match="no figure is typed as 'bar': .* psi, mm"):
            number(unit, "pressure", kind=kind)


@pytest.mark.parametrize(
    ("job", "key", "texts", "value"),
    [
        ("test", "psi", ["0.8bar"], 11.6), ("test", "psi", ["76 kPa"], 11.02), ("fill", "litres", ["52.4USgal"], 198.36), ("fill", "temp_c", ["58F"], 14.44),
        ("regauge", "wet_mm", ["16in"], 406.4), ("measure", "tare_kg", ["110lb"], 49.9), ("examine", "soaked", ["1/3"], 0.333),
        ("stave", "staves", ["1,14"], [1, 14]), ("stave", "staves", ["1", "14b"], [1, "14b"]), ("open", "heads", ["both"], ["A", "B"]),
        ("drive", "hoops", ["A-1, hoop B bulge"], ["hoop-A-1", "hoop-B-3"]), ("drive", "hoops", ["all"], None), ("head", "which", ["1,2"], [1, 2]),
        ("flag", "at", ["joint-3; groove A-14"], ["joint-3", "croze-A-14"]), ("peg", "at", ["lag 9"], "stave-9"), ("peg", "kind", ["spiles"], "spile"),
        ("char", "level", ["3"], 3), ("char", "level", ["house"], "house"), ("char", "heads", ["plain"], "plain"), ("nose", "faults", ["vinegar,mould"], ["acetic", "musty"]),
        ("test", "leaks", ["joint-1,head-A"], [{"at": "joint-1"}, {"at": "head-A"}]), ("test", "leaks", ["stave-9 worm hole"], [{"at": "stave-9", "kind": "pinhole"}]),
        ("examine", "findings", ["stave-1 cracked 2 1/3; joint 3 weep"], [{"at": "stave-1", "defect": "cracked", "severity": 2, "depth": 0.333}, {"at": "joint-3", "defect": "joint-leak"}]),
        ("examine", "findings", ["[{at: stave-1, defect: cracked}]"], [{"at": "stave-1", "defect": "cracked"}]), ("fill", "oak_since", ["unknown"], "unknown"),
        ("leak", "look_again", ["+14"], date(2026, 12, 9)), ("retire", "reasons", ["thin, very; spent"], ["thin, very", "spent"]), ("fill", "at_20", ["yes"], True),
        ("measure", "dims_mm", ["bung 660, head 22in, length 840"], {"bung": 660, "head": 558.8, "length": 840}), ("measure", "heads", ["5,6"], [5, 6]),
        ("stave", "from", ["th-001187"], "TH-001187"), ("stave", "from", ["New"], "new"), ("season", "wine", ["PX"], "pedro-ximenez"), ("look", "seen", ["stopped"], "dry"),
        ("head", "prior", ["bourbon 1 2015-01; px ?"], [{"contents": "bourbon", "fills": 1, "emptied": "2015-01"}, {"contents": "pedro-ximenez"}]),
        ("made-from", "parents", ["TH-0001 20; old butt 5"], [{"cask": "TH-0001", "staves": 20}, {"unnumbered": "old butt", "staves": 5}]),
    ],
)  # fmt: skip
def test_read(job: str, key: str, texts: list[str], value: Any) -> None:
    assert read(job, key, *texts) == value


@pytest.mark.parametrize(
    ("job", "key", "text", "told"),
    [
        ("fill", "abv", "6.35", "did you mean 63.5 %?"), ("fill", "temp_c", "145", "did you mean 14.5 °C?"), ("fill", "litres", "50gal", "US or imperial"),
        ("fill", "abv", "125proof", "US or UK proof"), ("fill", "litres", "198,4", "comma"), ("examine", "verdict", "repare", "did you mean repair"),
        ("test", "result", "sound", "ring true"), ("leak", "severity", "gush", "none of its words|no severity"), ("flag", "at", "joint", "no place"),
        ("examine", "findings", "stave-1", "what is wrong at"), ("examine", "findings", "stave-1 cracked 5", "no severity"), ("stave", "staves", "x", "no stave"),
        ("stave", "from", "th1187", "no cask number"), ("examine", "soaked", "3", "more than the whole"), ("nose", "faults", "sulphury", "struck match"),
        ("leak", "look_again", "soon", "no day"), ("hoop", "hoops_after", "99", "cannot be"), ("shave", "depth_mm", "25", "cannot be"),
        ("note", "note", "a\x1bb", "control"), ("note", "note", "x" * 2001, "too many"), ("examine", "findings", "[{at: ", "--findings"),
    ],
)  # fmt: skip
def test_refused_with_what_to_type_instead(job: str, key: str, text: str, told: str) -> None:
    with pytest.raises(TypedError, match=told):
        read(job, key, text)


def test_a_likely_slip_is_doubted_and_named() -> None:
    into = terms()
    assert read("test", "psi", "0.8", into=into) == 0.8
    assert into.doubts == [("psi", "0.8 psi: 5 to 12 is usual; 0.8 bar is 11.6 psi: did you mean bar?")]


def test_the_house_settles_gallons_proof_and_comma() -> None:
    into = terms(gallon="us", proof="us", decimal_comma=True)
    assert read("fill", "litres", "50gal", into=into) == 189.27
    assert read("fill", "abv", "125proof", into=into) == 62.55  # 62.5 at 60 °F
    assert read("fill", "litres", "198,4", into=into) == 198.4
    assert into.echoes[0] == "50 gal (US) = 189.27 L"


@given(st.sampled_from([one for job in JOBS for one in job_fields(job)]), st.text(max_size=30))
def test_whatever_is_typed_is_read_or_refused_in_a_line(one: JobField, text: str) -> None:
    try:
        read_field(one, [text], terms())
    except TypedError as error:
        assert str(error).startswith(one.option) and "\n" not in str(error).replace(text, "")
    except Exception as error:  # a cask list is a fault of the call
        assert type(error).__name__ == "CaskbookError"


def test_what_is_asked_reads_like_a_form() -> None:
    for job in JOBS:
        for one in job_fields(job):
            label = label_of(one)
            assert label and "_" not in label and len(label) < 30
    assert label_of(next(one for one in job_fields("fill") if one.key == "abv")) == "strength" and short_unit("litres") == "L"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["note", "TH-000012", "a\nb c"], "'a?b c' is not expected here: did you mean --note 'a b c'?"),
        (["nose", "TH-000012", "clear"], "'clear' is not expected here: did you mean --verdict clean?"),
        (["send", "TH-000012", "weir"], "did you mean --to weir?"),
        (["nose", "TH-000012", "waltz"], "--verdict is one of clean, faint, fault (caskbook enter nose --help)"),
        (["drive", "TH-000012", "waltz"], "each word goes by its option, as --note 'waltz'"),
    ],
)
def test_a_word_in_the_wrong_place_is_named_with_its_option(words: list[str], said: str) -> None:
    with pytest.raises(CaskbookError) as caught:
        read_request(words)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--prior", "none"], "--prior: none may mean two things: `virgin` where it never held anything"),
        (["--prior", "never"], "'never' is no contents: `virgin`"),
        (["--charred", "none"], "--charred: none may mean two things: `never` where it was never charred"),
    ],
)
def test_nothing_before_us_is_said_and_not_left_out(shop: Shop, words: list[str], said: str) -> None:
    ran = shop.enter("receive", "TH-009050", "accept", "--type", "butt", *words, "--by", "ab", "--yes")
    assert ran.code != 0 and said in ran.err and not shop.path("TH-009050").exists()
    assert shop.enter("receive", "TH-009050", "accept", "--type", "butt", "--prior", "virgin", "--supplier", "none", "--by", "ab", "--yes").code == 0
    assert shop.data("TH-009050")["prior"] == [] and "supplier" not in shop.data("TH-009050")
