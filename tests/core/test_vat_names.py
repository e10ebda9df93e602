"""The names of vats, capitals aside."""

from __future__ import annotations

import sys

from caskbook.core.vat_names import INTO_ASCII, vat_key


def test_these_are_all_the_signs_of_which_something_in_ascii_comes() -> None:
    signs = (chr(number) for number in range(128, sys.maxunicode + 1))
    assert list(INTO_ASCII) == [sign for sign in signs if any(other.isascii() for other in sign.casefold())]
    assert vat_key("Straße  9") == vat_key("STRASSE 9") == "strasse 9"
