"""Codes that are no errors: warnings, whose severity a house may change, and notes. A test holds this against what is emitted."""

from __future__ import annotations

from caskbook.core.finding import Severity

WARNINGS = (
    "ambiguous-word", "break-up-unretired", "by-missing", "capacity-unlike-type", "crew-not-yet-or-no-longer", "crlf-newlines",
    "dims-unlike-cask", "donor-unknown", "drawn-more-than-held", "emptied-unaccounted", "entered-twice", "events-not-last", "fill-while-failed", "fill-while-held", "fill-while-rejected", "fill-while-retired",
    "fill-while-sulphured", "fill-while-tainted", "fill-while-unexamined", "fill-while-unproved", "fill-while-unrepaired",
    "git-unreadable", "head-later-than-arrival", "implausible-value", "inherited-figures-differ", "instead-of-unknown", "landed-diff-switched-off", "landed-merge-switched-off", "leak-not-open", "lpa-gain",
    "no-arrival", "over-capacity", "parts-unlike-type", "rack-age-differs", "release-without-hold", "severity-of-no-warning",
    "sparse-checkout", "stray-file", "test-over-house-limit", "undated-setting-changed", "unknown-crew", "unknown-defect-word", "unknown-shop", "void-before-its-target",
)  # fmt: skip
NOTES = ("receipt-voided", "capacity-off-nominal", "emptied-under-strength", "landed-layout-changed", "left-under-age", "uncorrected-gauge")
SEVERITY: dict[str, Severity] = {**dict.fromkeys(WARNINGS, "warning"), **dict.fromkeys(NOTES, "note")}
