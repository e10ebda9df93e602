"""What the one life of joined numbers shows that none of their files shows alone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from caskbook.checks.context import View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.core.typed_word import typed_word


def of_joined(view: View) -> Iterable[Fault]:
    """joined-entry-impossible: an entry under a number that was joined cannot have been, in the one life of both.

    Why: the cask was one all the while; what cannot have been of it is told, whichever of its numbers it was written under.
    Also: fill-of-full-cask
    Wrong:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2020-02-02, job: same-as, by: ab, of: TH-009999, why: two stencils}
        # TH-009999
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-04
    Right:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2020-02-02, job: same-as, by: ab, of: TH-009999, why: two stencils}
        # TH-009999
        # received 2020-01-01
    """
    row = next((row for event, row in view.of("same-as")), None)
    if row is None or not view.life.state.joined:
        return
    rows = {event.of: at for event, at in view.of("same-as")}  # type: ignore[attr-defined]
    for number, event, what in view.life.joined_faults:
        message = f"{number}, {event.job} of {event.date}: {what.message}"
        told = fault(
            rows.get(number, row),
            "joined-entry-impossible",
            message,
            f"void it there, or this entry: caskbook void {typed_word(number)} {typed_word(event.id)}",
            "of",
        )
        yield replace(told, related=(event.id,))  # It is that entry which cannot have been; the joining may be written all the same.


def into_itself(view: View) -> Iterable[Fault]:
    """racked-into-itself: liquor was racked from one number of the cask into another one of it.

    Why: one of the two numbers is not this cask, or the racking went elsewhere.
    Also: fill-while-unexamined
    Wrong:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        - {id: e1000002, date: 2024-02-02, job: same-as, by: ab, of: TH-004218, why: two stencils}
        # TH-004218
        # received 2020-01-01
        - {id: e1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2020-01-03}
    Right:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000002, date: 2024-02-02, job: same-as, by: ab, of: TH-004218, why: two stencils}
        # TH-004218
        # received 2020-01-01
    """
    own = {view.cask.id, *view.context.numbers(view.cask.id), *view.life.state.joined}
    for event, at in (*view.of("rack-out"), *view.of("rack-in")):
        for part in event.shared_with():
            if part in own:
                yield fault(
                    at,
                    "racked-into-itself",
                    f"racked from or into {part}, another number of this cask",
                    "void the racking, or the entry that joins them",
                    of=event,
                )


RULES = (
    Rule(of_joined, {"joined-entry-impossible": "error"}, on=("same-as",)),
    Rule(into_itself, {"racked-into-itself": "error"}, on=("same-as",)),
)
