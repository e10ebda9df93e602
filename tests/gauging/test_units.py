"""Typed figures: the grammar, the published factors, the echo, and the slips that are named."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.gauging.proof import abv_of_us_proof, uk_proof_spirit_abv
from caskbook.gauging.units import KINDS, AmbiguousUnit, UnitError, likely_slip, parse_quantity, plain_number
from caskbook.gauging.units.parse import _figure, _unit_key
from caskbook.gauging.units.slips import _MISTAKEN

KIND_NAMES = st.sampled_from(sorted(KINDS))


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("198.4", "litres", 198.4),
        ("198.4L", "litres", 198.4),
        ("198.4 litres", "litres", 198.4),
        ("750 ml", "litres", 0.75),
        ("75cl", "litres", 0.75),
        ("2 L", "ml", 2000.0),
        ("63.5", "abv", 63.5),
        ("63.5 %", "abv", 63.5),
        ("63.5 % vol", "abv", 63.5),
        ("-3", "temp_c", -3.0),
        ("+14.5 °C", "temp_c", 14.5),
        ("-40 F", "temp_c", -40.0),
        ("68 °F", "temp_c", 20.0),
        ("11 psi", "psi", 11.0),
        ("2.4 cm", "mm", 24.0),
        ("1 in", "mm", 25.4),
        ('1"', "mm", 25.4),
        ("90 s", "minutes", 1.5),
        ("2 min", "seconds", 120.0),
        ("2 days", "hours", 48.0),
        ("0.01 kg", "grams", 10.0),
        ("50 %", "fraction", 0.5),
        ("1/3", "fraction", 0.333),
        ("-0", "temp_c", 0.0),
    ],
)
def test_figure_in_the_kept_unit(text: str, kind: str, value: float) -> None:
    taken = parse_quantity(text, kind).value
    assert taken == value
    assert math.copysign(1, taken) == (-1 if value < 0 else 1)


def test_published_factors() -> None:
    # NIST SP 811, Appendix B: 1 psi = 6.894 757 kPa (from memory); 100 kPa to the bar.
    assert parse_quantity("689.4757 kPa", "psi").value == 100.0
    assert parse_quantity("10 bar", "psi").value == 145.04
    assert parse_quantity("10000 mbar", "psi").value == 145.04
    # TTB conversion table (print): 1 L = 0.264172 US gal; a 9.00 L case = 2.377548 US gal.
    assert parse_quantity("264.172 USgal", "litres").value == 1000.0
    assert parse_quantity("2.377548 USgal", "litres").value == 9.0
    # Weights and Measures Act 1985 (memory for the line): 4.54609 L.
    assert parse_quantity("100 UKgal", "litres").value == 454.61
    # International yard and pound agreement, 1959 (from memory).
    assert parse_quantity("1000 lb", "kg").value == 453.6
    assert parse_quantity("31.3 in", "mm").value == 795.02


def test_proof() -> None:
    # 27 CFR 30.11 (from memory): proof is twice the % vol at 60 °F; 63.55 % vol at 20 °C by OIML R 22 (own).
    assert parse_quantity("127 USproof", "abv").value == 63.55
    # Alcoholic Liquor Duties Act 1979 s. 2 for the rule, own for the number: 57.145 % vol.
    assert parse_quantity("100 UKproof", "abv").value == pytest.approx(57.145, abs=0.01)
    assert parse_quantity("70 proof", "abv", proof="uk").value == 40.0
    assert parse_quantity("80 proof", "abv", proof="us").value == 40.07


def test_us_proof_is_brought_to_20_degrees() -> None:
    # By OIML R 22 densities, never by halving: what is kept differs from the formula by its rounding only.
    for proof in range(1, 201):
        kept = parse_quantity(f"{proof} USproof", "abv")
        assert abs(kept.value - abv_of_us_proof(proof)) <= 0.005 + 1e-9 and kept.exact == pytest.approx(abv_of_us_proof(proof))
    assert uk_proof_spirit_abv() == pytest.approx(parse_quantity("100 UKproof", "abv").exact)


def test_a_proof_above_pure_alcohol_is_refused_in_one_line() -> None:
    for text, limit in (("201 USproof", "0 to 200 US proof"), ("176 UKproof", "UK proof")):
        with pytest.raises(UnitError, match=limit):
            parse_quantity(text, "abv")


def test_what_is_computed_at_once_is_not_rounded() -> None:
    assert parse_quantity("69 F", "temp_c").exact == pytest.approx(20 + 5 / 9)
    assert parse_quantity("60 F", "temp_c").value == 15.56
    assert parse_quantity("52.4 USgal", "litres").exact == pytest.approx(198.3555775, abs=1e-6)


def test_echo_says_the_conversion() -> None:
    assert parse_quantity("0.8 bar", "psi").echo == "0.8 bar = 11.6 psi"
    assert parse_quantity("53 gal", "litres", gallon="us").echo == "53 gal (US) = 200.63 L"
    assert parse_quantity("125 USproof", "abv").echo == "125 USproof = 62.55 % vol at 20 °C (62.5 at 60 °F)"
    assert parse_quantity("11 psi", "psi").echo is None
    assert parse_quantity("198.456", "litres").value == 198.456  # what was measured is not rounded


@pytest.mark.parametrize(("text", "kind"), [("53 gal", "litres"), ("127 proof", "abv"), ("1 hogshead", "litres")])
def test_asks_when_a_unit_means_several_amounts(text: str, kind: str) -> None:
    with pytest.raises(AmbiguousUnit) as refused:
        parse_quantity(text, kind)
    assert refused.value.choices
    assert all(choice in str(refused.value) for choice in refused.value.choices)


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "nan",
        "inf",
        "-inf",
        "1e400",
        "1e3",
        "0x1f",
        "1_000",
        "1 000",
        "1.2.3",
        ".5",
        "5.",
        "--5",
        "7/8 in",
        "12-13",
    ]
    + ["٣", "1,5", "1.5 L L", "9" * 5000, "12 psi", "-1", "5 L\n6 L"],
)
def test_refuses_in_one_line(text: str) -> None:
    with pytest.raises(UnitError) as refused:
        parse_quantity(text, "litres")
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 120


def test_decimal_comma_only_where_declared() -> None:
    assert parse_quantity("63,5 %", "abv", decimal_comma=True).value == 63.5
    with pytest.raises(UnitError, match="decimal_comma"):
        parse_quantity("63,5 %", "abv")
    assert parse_quantity("1,250", "litres", decimal_comma=True).echo == "1,250 read as 1.25"


@given(st.text(max_size=40), KIND_NAMES, st.booleans())
def test_any_text_gives_a_finite_figure_or_one_line(text: str, kind: str, comma: bool) -> None:
    try:
        taken = parse_quantity(text, kind, gallon="us", decimal_comma=comma)
    except UnitError as refused:
        assert "\n" not in str(refused)
    else:
        assert math.isfinite(taken.value)


@given(st.from_regex(r"[+-]?[0-9]{1,15}([.,][0-9]{1,15})? ?[A-Za-z°%\"]{0,6}", fullmatch=True), KIND_NAMES)
def test_number_like_text_too(text: str, kind: str) -> None:
    try:
        taken = parse_quantity(text, kind, gallon="uk", proof="us", decimal_comma=True)
    except UnitError:
        return
    assert math.isfinite(taken.value)


@given(st.integers(0, 10**7), st.integers(0, 4), KIND_NAMES)
def test_figure_typed_in_the_kept_unit_stays(figures: int, places: int, kind: str) -> None:
    text = f"{figures / 10**places:.{places}f}"
    assert parse_quantity(text, kind).value == float(text)


@given(st.sampled_from([(kind, unit) for kind in KINDS for unit in KINDS[kind].units]), st.integers(1, 10**6))
def test_a_conversion_leaves_no_binary_noise(pair: tuple[str, str], thousandths: int) -> None:
    kind, unit = pair
    try:
        taken = parse_quantity(f"{thousandths / 1000:.3f} {unit}", kind)
    except UnitError as refused:  # a proof beyond pure alcohol
        assert kind == "abv" and "is outside 0 to" in str(refused)
        return
    assert len(plain_number(taken.value).partition(".")[2]) <= 3


@pytest.mark.parametrize(
    ("kind", "value", "low", "high", "said"),
    [
        ("temp_c", 145, -10, 40, "did you mean 14.5 °C?"),
        ("temp_c", 58, -10, 40, "58 °F is 14.44 °C: did you mean °F?"),
        ("temp_c", -14, 0, 40, "did you mean 14 °C?"),
        ("abv", 6.35, 40, 80, "did you mean 63.5 %?"),
        ("abv", 635, 40, 80, "did you mean 63.5 %?"),
        ("abv", 127, 40, 80, "127 US proof is 63.55 % vol: did you mean US proof?"),
        ("psi", 0.8, 5, 12, "0.8 bar is 11.6 psi: did you mean bar?"),
        ("psi", 80, 5, 12, "80 kPa is 11.6 psi: did you mean kPa?"),
        ("psi", 110, 5, 12, "did you mean 11 psi?"),
        ("mm", 2.4, 15, 40, "2.4 cm is 24 mm: did you mean cm?"),
        ("litres", 52.8, 173, 210, "52.8 US gal is 199.87 L: did you mean US gal?"),
        ("litres", 1984, 173, 210, "did you mean 198.4 L?"),
        ("fraction", 50, 0, 1, "50 % is 0.5: did you mean %?"),
        ("minutes", 600, 5, 60, "600 s is 10 min: did you mean s?"),
        ("psi", 11, 5, 12, None),
        ("psi", 3000, 5, 12, None),
        ("psi", math.nan, 5, 12, None),
        ("psi", math.inf, 5, 12, None),
    ],
)
def test_names_the_likely_slip(kind: str, value: float, low: float, high: float, said: str | None) -> None:
    assert likely_slip(kind, value, low, high) == said


@given(KIND_NAMES, st.floats(), st.floats(), st.floats())
def test_slip_never_fails(kind: str, value: float, low: float, high: float) -> None:
    said = likely_slip(kind, value, low, high)
    assert said is None or ("did you mean" in said and "\n" not in said)


@pytest.mark.parametrize("value", [3.0, 400.0])
def test_a_kind_of_which_no_other_unit_is_usual_has_no_slip_of_units(value: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """A new kind is a row of the tables; what is likely typed for it may be left out."""
    monkeypatch.setitem(KINDS, "a kind that no field has", KINDS["fraction"])
    assert likely_slip("a kind that no field has", value, 5, 100) is None


@pytest.mark.parametrize("kind", KINDS)
def test_every_unit_of_the_tables_can_be_typed_and_every_slip_that_is_offered(kind: str) -> None:
    """A unit with a figure in it would stand in the tables, be offered, and be no number when it is typed."""
    for key in KINDS[kind].units:
        if key:
            assert _unit_key(_figure(f"7.5 {key}", False, "")[1]) == key
    for key, shown in _MISTAKEN.get(kind, ()):
        assert {key, _unit_key(_figure(f"7.5 {shown}", False, "")[1])} <= KINDS[kind].units.keys()


def test_a_unit_may_have_a_stroke_between_its_letters(monkeypatch: pytest.MonkeyPatch) -> None:
    kind = KINDS["fraction"]
    monkeypatch.setitem(KINDS, "a kind that no field has", replace(kind, units={**kind.units, "g/kg": lambda value: value / 1000}))
    for text in ("220 g/kg", "220g/kg", "220 g/kg "):
        assert parse_quantity(text, "a kind that no field has").value == 0.22
    for text in ("1/3 g", "220 /kg", "220 g/", "220 g/2", "7/8/9"):
        with pytest.raises(UnitError):
            parse_quantity(text, "a kind that no field has")


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_no_number_is_told_with_a_unit_that_would_be_taken(kind: str) -> None:
    with pytest.raises(UnitError, match="is no number") as told:
        parse_quantity("1..2", kind)
    meant = str(told.value).rpartition(" or ")[2] if " or " in str(told.value) else "12.5"
    assert parse_quantity(meant.replace("12.5", "0.5"), kind).value == 0.5


@pytest.mark.parametrize(("text", "told"), [
    ("1,505 L", "write '1505' or '1.505', whichever is meant, or"), ("190,5 L", "write '190.5', or"), ("0,505 L", "write '0.505', or"), ("1505,505 L", "write '1505.505', or"),
])  # fmt: skip
def test_a_comma_that_may_part_thousands_is_told_both_ways(text: str, told: str) -> None:
    with pytest.raises(UnitError, match=re.escape(told)):
        parse_quantity(text, "litres")
