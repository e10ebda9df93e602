"""What is due: a verdict per cask and rule, with reasons, numbers and the setting used. Pure: it reads lives, and decides."""

from caskbook.due.judging import changes_on, judge, pressing, ranked, verdict_words
from caskbook.due.registry import RULES, rule_named
from caskbook.due.rule import Rule
from caskbook.due.verdict import Verdict

__all__ = ["RULES", "Rule", "Verdict", "changes_on", "judge", "pressing", "ranked", "rule_named", "verdict_words"]
