"""The trade's words: one canonical word for each spelling, and a question where a word means several things."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook import words
from caskbook.words import KINDS, AmbiguousWord, UnknownWord, canonical, fold, is_wine, leak_rank, note_on
from caskbook.words.lookup import is_known

KIND_NAMES = sorted(KINDS)


def _pairs() -> list[tuple[str, str, str]]:
    return [(name, typed, word) for name in KIND_NAMES for word in KINDS[name].words for typed in (word, *KINDS[name].synonyms.get(word, ()))]


PAIRS = _pairs()


@pytest.mark.parametrize("name", KIND_NAMES)
def test_no_spelling_means_two_things(name: str) -> None:
    kind = KINDS[name]
    assert set(kind.synonyms) <= set(kind.words)
    assert set(kind.notes) <= set(kind.words)
    meanings: dict[str, str] = {}
    for _, typed, word in (pair for pair in PAIRS if pair[0] == name):
        assert meanings.setdefault(fold(typed), word) == word, f"{typed!r} is said for {meanings[fold(typed)]} and for {word}: take another"
    assert {fold(word) for word in kind.asks} & set(meanings) == set(), "these are asked about, since they mean several things"


@pytest.mark.parametrize("name", KIND_NAMES)
def test_questions_are_one_line(name: str) -> None:
    for word, ask in KINDS[name].asks.items():
        with pytest.raises(AmbiguousWord) as asked:
            canonical(name, word)
        assert asked.value.question == ask.question
        assert asked.value.choices
        assert "\n" not in str(asked.value)
        assert len(str(asked.value)) <= 130


# The kinds whose choices are places, facts or jobs with a number to add rather than words of the kind itself.
@pytest.mark.parametrize("name", sorted(set(KIND_NAMES) - {"place", "fill"}))
def test_choices_can_be_typed(name: str) -> None:
    for ask in KINDS[name].asks.values():
        assert set(ask.choices) <= set(KINDS[name].words)


@given(
    st.sampled_from(PAIRS),
    st.sampled_from([str.upper, str.title, lambda text: text.replace(" ", "-")]),
    st.booleans(),
)
def test_case_and_hyphens_are_ignored(pair: tuple[str, str, str], change: object, spaced: bool) -> None:
    name, typed, word = pair
    assert callable(change)
    changed = change(typed)
    assert canonical(name, f"  {changed.replace('-', ' ')} " if spaced else changed.replace("-", "_")) == word


@given(st.text(max_size=60), st.sampled_from(KIND_NAMES))
def test_any_text_gives_a_word_or_one_line(text: str, name: str) -> None:
    try:
        assert canonical(name, text) in KINDS[name].words
    except (UnknownWord, AmbiguousWord) as refused:
        assert "\n" not in str(refused)
        assert str(refused).isprintable()
        assert len(str(refused)) <= 130


def test_accents_plurals_and_both_spellings() -> None:
    assert canonical("part", "Douëlles") == "stave"
    assert canonical("wine", "Pedro Ximénez") == "pedro-ximenez"
    assert canonical("type", "Puncheons") == "puncheon"
    assert canonical("part", "bushes") == "bush"
    assert canonical("job", "sulfur") == canonical("job", "sulphur") == "sulphur"
    assert canonical("defect", "moldy") == canonical("defect", "mouldy") == "musty"
    assert canonical("head_piece", "center") == canonical("head_piece", "centre") == "middle"
    assert canonical("job", "re-gage") == "regauge"
    assert fold("Grey  colour litres") == fold("gray-color_liter")


@pytest.mark.parametrize(
    ("kind", "typed", "word"),
    [
        ("job", "inspect", "examine"),
        ("job", "survey", "examine"),
        ("job", "sniff", "nose"),
        ("job", "de-char", "shave"),
        ("job", "scrape", "shave"),
        ("job", "tighten", "drive"),
        ("job", "rush", "flag"),
        ("job", "flagging", "flag"),
        ("job", "spile", "peg"),
        ("job", "plug", "peg"),
        ("job", "rack over", "rack"),
        ("job", "re-rack", "rack"),
        ("job", "disgorge", "empty"),
        ("job", "tip", "treat"),
        ("job", "rinse", "treat"),
        ("job", "cut down", "convert"),
        ("job", "remake", "convert"),
        ("job", "re-fire", "char"),
        ("job", "rechar", "char"),
        ("part", "lag", "stave"),
        ("part", "bilge", "bulge"),
        ("part", "chine", "chime"),
        ("part", "jable", "croze"),
        ("part", "chanteau", "cantle"),
        ("part", "French hoop", "quarter-hoop"),
        ("part", "jonc", "flag"),
        ("defect", "seam leak", "joint-leak"),
        ("defect", "worm hole", "pinhole"),
        ("defect", "soaker", "porous-stave"),
        ("defect", "cracked stave", "cracked"),
        ("defect", "shake", "cracked"),
        ("defect", "mildew", "musty"),
        ("defect", "vinegar", "acetic"),
        ("defect", "ethyl acetate", "solvent"),
        ("defect", "barnyard", "brett"),
        ("defect", "lees", "residue"),
        ("leak", "sweat", "weep"),
        ("leak", "damp", "weep"),
        ("fill", "exhausted", "spent"),
        ("wood", "Quercus alba", "american-white-oak"),
        ("wood", "robur", "pedunculate-oak"),
        ("toast_level", "medium+", "medium-plus"),
        ("toast_level", "medium", "medium"),
    ],
)
def test_words_of_the_trade(kind: str, typed: str, word: str) -> None:
    assert canonical(kind, typed) == word


@pytest.mark.parametrize(
    ("kind", "typed"),
    [
        ("part", "quarter"),
        ("part", "shive"),
        ("place", "top"),
        ("head", "bottom"),
        ("type", "pipe"),
        ("type", "drum"),
        ("defect", "dry"),
        ("defect", "chime leak"),
        ("defect", "sulphury"),
        ("nose_fault", "sulfury"),
        ("result", "sound"),
        ("result", "dry"),
        ("seen", "sound"),
        ("fill", "first-fill"),
        ("fill", "season"),
        ("job", "recondition"),
        ("job", "ullage"),
        ("job", "dip"),
        ("job", "dump"),
        ("job", "fire"),
        ("job", "take up"),
        ("job", "seasoning"),
    ],
)
def test_words_that_mean_several_things(kind: str, typed: str) -> None:
    with pytest.raises(AmbiguousWord):
        canonical(kind, typed)


def test_a_canonical_word_is_taken_with_its_note() -> None:
    assert canonical("seen", "dry") == "dry"
    assert canonical("examine_verdict", "sound") == "sound"
    assert canonical("hoop", "quarter") == "quarter"
    for kind, word in (
        ("type", "hogshead"),
        ("type", "barrel"),
        ("type", "quarter-cask"),
        ("type", "madeira-drum"),
    ):
        assert canonical(kind, word) == word
        assert note_on(kind, word)
    assert note_on("job", "season")
    assert note_on("type", "butt") is None


def test_nearest_word_only_when_close() -> None:
    with pytest.raises(UnknownWord, match="did you mean hogshead"):
        canonical("type", "hogshed")
    with pytest.raises(UnknownWord) as far:
        canonical("type", "bicycle")
    assert far.value.nearest is None
    with pytest.raises(UnknownWord):
        canonical("type", "")
    with pytest.raises(ValueError, match="no list of words"):
        canonical("colour", "red")


def test_leaks_are_ordered() -> None:
    assert leak_rank("sweating") < leak_rank("drip") < leak_rank("run")


def test_wine_held() -> None:
    assert all(is_wine(word) for word in words.WINE_WORDS)
    assert all(is_wine(word) for word in ("PX", "Oloroso Sherry", "tawny port", "red wine", "Pedro Ximénez"))
    assert not any(is_wine(word) for word in ("bourbon", "malt", "rum", "barley wine", "", "port-side rum", "supporting", "wineless"))
    assert is_wine("tokaj", ["tokaj"])
    assert is_wine("sweet Tokaj", ["tokaj"])
    assert not is_wine("tokaj")
    assert canonical("wine", "TOKAJ", ["tokaj"]) == "tokaj"


@given(st.text(max_size=40))
def test_any_contents_can_be_asked_about(contents: str) -> None:
    assert is_wine(contents) in (True, False)


def test_cask_types_are_plausible() -> None:
    for name, each in words.CASK_TYPES.items():
        assert name == each.name
        if each.litres is None:
            assert each.litres_needed
        else:
            assert each.low is not None
            assert each.high is not None
            assert each.low <= each.litres <= each.high
    floors = {name: each.stave_floor_mm for name, each in words.CASK_TYPES.items() if each.stave_floor_mm is not None}
    assert floors == {"barrel": 18.0, "hogshead": 18.0}
    # Weights and Measures Act 1985 gallon of 4.54609 L (memory for the line): a firkin holds 9, a kilderkin 18.
    assert round(9 * 4.54609) == words.CASK_TYPES["firkin"].litres
    assert round(18 * 4.54609) == words.CASK_TYPES["kilderkin"].litres
    # The barrel's 53 US gal of 3.785411784 L lie in its range.
    assert 173 <= 53 * 3.785411784 <= 210


@pytest.mark.parametrize("name", KIND_NAMES)
def test_help_lists_every_word(name: str) -> None:
    assert tuple(words.synonyms(name)) == KINDS[name].words
    assert set(words.questions(name)) == set(KINDS[name].asks)


DOUBTS = '?!~()[]{}<>/\\|#%&*=^@:;"…¿'


@given(st.sampled_from(sorted(KINDS)), st.data(), st.sampled_from(DOUBTS), st.booleans())
def test_a_word_with_a_doubt_beside_it_is_another_word(kind: str, data: st.DataObject, sign: str, before: bool) -> None:
    """`pass?` is no pass, `(sold)` not sold: what nobody is sure of is asked about."""
    word = data.draw(st.sampled_from(KINDS[kind].words))
    assert is_known(kind, word)
    assert not is_known(kind, sign + word if before else word + sign)
    assert not is_known(kind, f"{word}...")
