"""Findings: what is wrong in a cask's file, between files and in the ledger; pure, and today is given."""

from caskbook.checks.check import Report, check_cask, check_ledger, check_record, context_of, exit_code
from caskbook.checks.context import Context
from caskbook.checks.explain import EXPLANATIONS, Explanation, explanation

__all__ = [
    "EXPLANATIONS",
    "Context",
    "Explanation",
    "Report",
    "check_cask",
    "check_ledger",
    "check_record",
    "context_of",
    "exit_code",
    "explanation",
]
