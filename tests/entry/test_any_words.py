"""Whatever is typed behind `enter` ends in an entry, a refusal or one line, never in a traceback."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.entry.request import all_jobs
from entry.shop import CASK, Shop
from entry.states import STATES

WORDS = st.one_of(
    st.sampled_from([*all_jobs(), "shave+char", "rechar", "fire", "..", "except", CASK, "TH-004218", "TH-004217..004219", "pass", "fail", "clean", "sound", "A", "both"]),
    st.sampled_from(["--psi", "--litres", "--abv", "--leaks", "--findings", "--staves", "--heads", "--at", "--by", "--date", "--before", "--replaces", "--answers", "--to", "--into",
                     "--first-id", "--why", "--anyway", "--yes", "--dry-run", "--skip-missing", "--type", "--prior", "--like", "--closed-on", "--from", "--temp", "--at-20", "--of"]),
    st.sampled_from(["11", "0.8bar", "-3", "1,14", "joint-3", "stave-1 cracked 2", "[{at: x}]", "{", "new", "2026-02-30", "yesterday", "e0000001", "\x00", "\u202e", "TH-9"]),
    st.text(max_size=8),
)  # fmt: skip


@pytest.mark.thorough
@settings(max_examples=many(80), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.one_of(st.lists(WORDS, max_size=9), st.builds(lambda job, rest: [job, CASK, *rest], st.sampled_from(all_jobs()), st.lists(WORDS, max_size=8))))
@example(["test", CASK, "--psi", "9" * 400, "--result", "pass"])
@example(["examine", CASK, "sound", "--findings", "[" * 2000])
@example(["note", CASK, "--note", "x" * 1_000_000])
@example(["measure", CASK, "--dims", "bung 660 head"])
@example(["receive", "TH-009001", "accept", "--type", "barrel", "--capacity", "1e400"])
@example(["convert", CASK, "--into", "99999", "hogshead", "--first-id", "TH-999999"])
@example(["rack", CASK, "--to", "TH-004218", "--litres", "0", "--abv", "0", "--why", "x", "--yes"])
def test_any_words(shop: Shop, words: list[str]) -> None:
    for cask in (CASK, "TH-004218"):
        shop.put(*(STATES["ready"] or []), cask=cask)
    ran = shop.enter(*words)
    assert ran.code in (0, 1, 2)
    for cask in (CASK, "TH-004218"):
        assert shop.cask(cask)


ODD = ["none", "", "[190]", "{a: 1}", "?", "-1", "TH9", "²", "malt & grain", "nan", "1e400", "0", "\udcd6", "2026-13-01"]
WHOLE = {
    "rack": ("filled", ["rack", CASK, "--to", "TH-004218", "--litres", "100", "--abv", "60", "--left", "80", "--lost", "1", "--spirit", "malt", "--temp", "12", "--berth", "W1/05/1", "--why", "x"]),
    "convert": ("ready", ["convert", CASK, "--into", "1 hogshead", "--first-id", "TH-009001", "--gave", "20", "--capacity", "250", "--staves", "20", "--why", "x"]),
    "named": ("ready", ["convert", CASK, "--into", "1 hogshead", "--as", "TH-009001", "--gave", "20", "--parcel", "P-1"]),
    "swap": ("open", ["swap-heads", CASK, "--with", "TH-004218", "--heads", "A", "--why", "x"]),
    "same": ("ready", ["same-as", CASK, "--of", "TH-004218", "--why", "x", "--date", "2026-11-01"]),
    "correct": ("ready", ["correct", CASK, "--capacity", "250", "--type", "hogshead", "--prior", "bourbon 1", "--charred", "2011", "--was", "AB 1", "--why", "x"]),
    "receive": ("ready", ["receive", "TH-009001", "accept", "--type", "butt", "--capacity", "500", "--heads", "5,6", "--made", "2001", "--prior", "oloroso 1 2015-01", "--claim-by", "2026-12-01"]),
}  # fmt: skip
FIELDS = [(name, at) for name, (_, words) in WHOLE.items() for at in range(1, len(words)) if words[at - 1].startswith("--")]


@pytest.mark.thorough
@pytest.mark.parametrize(("name", "at"), FIELDS, ids=lambda value: str(value))
def test_one_odd_word_in_a_whole_entry(shop: Shop, name: str, at: int) -> None:
    """Written, refused, or one line: of what is typed for several casks too, whose options no field of a job reads."""
    state, words = WHOLE[name]
    for odd in ODD:
        for cask in (CASK, "TH-004218"):
            shop.put(*(STATES[state if cask == CASK or name == "swap" else "ready"] or []), cask=cask)
        shop.path("TH-009001").unlink(missing_ok=True)
        ran = shop.enter(*words[:at], odd, *words[at + 1 :], "--by", "ab", "--yes")
        assert ran.code in (0, 1, 2) and (ran.code == 0 or ran.err), (odd, ran)
