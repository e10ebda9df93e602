r"""Faults in the form of a head, an event or a setting: a key, a word or a figure that is not as the book writes it.

unknown-key: a key that this job, or the head, does not have.

Why: a misspelt key is a fact that is never read.
Wrong:
    - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept, berht: W1/01}
Right:
    - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept, berth: W1/01}

missing-field: a field that has to be there is not.

Why: without it the entry does not say what was done.
Wrong:
    - {id: e1000001, date: 2020-01-01, job: receive, by: ab}
Right:
    - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}

wrong-type: a value of another kind than expected.

Why: a figure in quotes is text, and is not reckoned with.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, staves: "31", events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, staves: 31, events: []}

wrong-form: a value not written as the book writes it.

Why: one way of writing lets every tool read it alike.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, maker: "Fenwick\nHollow", events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, maker: Fenwick Hollow, events: []}

unknown-word: a word that is none of those this field takes.

Why: another word for the same thing is another thing to every count.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barell, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

out-of-range: a figure that cannot be.

Why: no spirit is above 100 % vol, no cask has fewer than no litres.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, capacity_l: 20000, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, capacity_l: 200, events: []}

fields-disagree: two fields of one entry contradict each other.

Why: a test that leaked and passed needs what cured it; one of the two is wrong.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: test, by: ab, psi: 11, result: fail,
       leaks: [{at: joint-4}], cured_by: drive}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: test, by: ab, psi: 11, result: pass,
       leaks: [{at: joint-4}], cured_by: drive}

unknown-format: a format this version does not know.

Why: a later version may mean other things by the same keys.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 2, type: barrel, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

unknown-job: a job that is none of the trade's.

Why: what it did to the cask is not known, and later entries are judged as if it had done nothing.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: polish, by: ab}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: polished for a visit}

event-without-id: an event that has no id yet.

Why: events are matched by id only; `caskbook stamp` gives one to an event written by hand.
Wrong:
    - {date: 2020-01-01, job: receive, by: ab, verdict: accept}
Right:
    - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}

bad-event-id: an id that could not have been minted.

Why: ids sort in the order of the work, and no reader may take one for a number; other signs break both.
Wrong:
    - {id: EVENT-1, date: 2020-01-01, job: receive, by: ab, verdict: accept}
Right:
    - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
"""

from caskbook.core.finding import Severity

CODES: dict[str, Severity] = {
    "unknown-key": "error",
    "missing-field": "error",
    "wrong-type": "error",
    "wrong-form": "error",
    "unknown-word": "error",
    "out-of-range": "error",
    "fields-disagree": "error",
    "unknown-format": "error",
    "unknown-job": "error",
    "event-without-id": "error",
    "bad-event-id": "error",
}
