"""What a spreadsheet shows by its number format is what is read: literal signs, zeros in front, months; and what shows otherwise is no value."""

from __future__ import annotations

from datetime import date

import pytest

from caskbook.exchange.number_format import shown_day, shown_number, shown_text
from caskbook.exchange.row import DAY, NUMBER, OTHERWISE, TEXT


@pytest.mark.parametrize(("form", "value", "shown"), [
    ("General", 63.300000000000004, "63.3"), ("General", 5012345678917, "5012345678917"), ("General", 0, "0"), ("", 190, "190"), ("@", 4217, "4217"),
    ("0", 63.487, "63.487"), ("#,##0.00", 1505.5, "1505.50"), ("0.00", 1.1, "1.10"), ("0.0##", 2, "2.0"), ("0.00%", 0.635, "63.50%"), ('0.00" L"', 190, "190.00 L"), ("0.00", -1.5, "-1.50"), ("[Red]0.0", 63.5, "63.5"), ("[$-409]0.0", 63.5, "63.5"), ("0.00E+00", 1505, "1505"),
    ("# ?/?", 5.5, "5.5"), ("0.0%", 0.635, "63.5%"), ("0%", 0.57, "57%"), ('0.0"%"', 63.5, "63.5%"), (r"0.0\%", 63.5, "63.5%"), ('0.0" % vol"', 63.5, "63.5 % vol"),
    ('0" L"', 190, "190 L"), ('General" gal"', 50, "50 gal"), ("000000", 4217, "004217"), ('"TH-"000000', 4217, "TH-004217"), ("00-0000", 881207, "88-1207"),
    ("0;[Red]-0", -5, "-5"), ("0;(0)", -5, "(5)"), ("0", -5, "-5"), ('_-* #,##0.00_-;-* #,##0.00_-;_-* "-"??_-;_-@_-', 190.5, "190.50"),
    ("[<1000]0.0;#,##0", 1505, "1505"), ("#", 5, "5"), ("0.0#", 0.5, "0.5"), ("$#,##0", 190, "$190"), ("[$€-407]0", 190, "€190"),
])  # fmt: skip
def test_a_figure_is_read_as_it_is_shown(form: str, value: float, shown: str) -> None:
    assert shown_number(form, value) == (shown, NUMBER)


@pytest.mark.parametrize(("form", "value"), [
    ("#,##0,", 1505), ("0.0,,", 1505000), ('0.0,"k"', 1505), (";;;", 5), ("0;-0;", 0), ("0;-0;;@", 0), ("#", 0), ("#,###", 0), ('_-* #,##0_-;-* #,##0_-;_-* "-"_-;_-@_-', 0),
    ("0;0", -5), ('"1"0', 5), (r"0\,0", 635), (r"0\.0", 635), ('0;0;"-"', 0), ("[<1]0.0;dd/mm/yyyy", 42075), ("General", 1e15), ("General", 12345678901234567), ("[<1]0;[>5]0", 3),
])  # fmt: skip
def test_what_shows_another_figure_or_nothing_is_no_value(form: str, value: float) -> None:
    assert shown_number(form, value)[1] == OTHERWISE


def test_a_word_in_the_place_of_a_figure_is_that_word() -> None:
    assert shown_number('"full";;"empty"', 1) == ("full", TEXT) and shown_number('"full";;"empty"', 0) == ("empty", TEXT)


@pytest.mark.parametrize(("form", "text", "shown"), [
    ("@", "4217", ("4217", TEXT)), ("General", "malt", ("malt", TEXT)), ('"TH-"@', "4217", ("TH-4217", TEXT)), ('0;0;0;@" L"', "190", ("190 L", TEXT)),
    (";;;", "malt", ("malt", OTHERWISE)), ('0;0;0;"full"', "empty", ("empty", OTHERWISE)), (";;;", "", ("", TEXT)), ("0;-0;;@", "a  b", ("a  b", TEXT)),
])  # fmt: skip
def test_a_text_is_read_as_it_is_shown(form: str, text: str, shown: tuple[str, str]) -> None:
    assert shown_text(form, text) == shown


@pytest.mark.parametrize(("form", "shown"), [
    ("yyyy-mm-dd", "2015-03-02"), ("mm-dd-yy", "2015-03-02"), ("dd/mm/yy;@", "2015-03-02"), ("[$-F800]dddd\\,\\ mmmm\\ dd\\,\\ yyyy", "2015-03-02"), ("d.m.yyyy h:mm", "2015-03-02"),
    ('yyyy"年"m"月"d"日"', "2015-03-02"), ('[$-411]ggge"年"m"月"d"日"', "2015-03-02"), ("General", "2015-03-02"), ("m/d/yy h:mm AM/PM", "2015-03-02"), ("yyyy-mm-dd hh:mm:ss", "2015-03-02"),
    ("mmm-yy", "2015-03"), ("mmm\\-yy", "2015-03"), ("mmmm yyyy", "2015-03"), ("[$-409]mmm\\-yy;@", "2015-03"), ("ddd mmm yyyy", "2015-03"), ("mm/yyyy", "2015-03"),
    ("yyyy", "2015"), ("yy", "2015"), ("d-mmm", "2 March"), ("dd/mm", "2 March"),
])  # fmt: skip
def test_a_day_is_read_as_far_as_it_is_shown(form: str, shown: str) -> None:
    assert shown_day(form, date(2015, 3, 2)) == (shown, DAY)


@pytest.mark.parametrize("form", ["dddd", "mmm", "h:mm", "mm:ss", "[h]:mm:ss", "d", "h:mm:ss AM/PM"])
def test_a_weekday_an_hour_or_a_month_of_no_year_is_no_day(form: str) -> None:
    assert shown_day(form, date(2015, 3, 2))[1] == OTHERWISE
