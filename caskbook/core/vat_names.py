"""A vat's name as it is compared: in its accounts, in what a fill is held against at entry, and in lists."""

from __future__ import annotations

INTO_ASCII = "\u00df\u0130\u0149\u017f\u01f0\u1e96\u1e97\u1e98\u1e99\u1e9a\u1e9e\u212a\ufb00\ufb01\ufb02\ufb03\ufb04\ufb05\ufb06"
"""Signs beyond ASCII of which capitals aside something in ASCII comes, as ss of ß: who looks for a name by its bytes must look where they stand too."""


def vat_key(vat: str) -> str:
    """A vat's name, capitals and blanks aside."""
    return " ".join(vat.split()).casefold()
