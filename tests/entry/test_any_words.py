"""Whatever is typed behind `enter` ends in an entry, a refusal or one line, never in a traceback."""

from __future__ import annotations

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
