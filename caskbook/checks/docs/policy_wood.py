r"""What was done to the wood against the house's own rules: written all the same, for the book tells what was done, and a warning.

rechar-over-house-limit: charred again more often than the house lets a cask be.

Why: each re-char takes wood off; a third one on what two have left of the staves is how a cask comes to leak.
Wrong:
    # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
    - {id: e1000001, date: 2020-01-04, job: char, by: ab, level: 3}
    - {id: e1000002, date: 2020-01-05, job: char, by: ab, level: 3}
    - {id: e1000003, date: 2020-01-06, job: char, by: ab, level: 3}
Right:
    # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
    - {id: e1000001, date: 2020-01-04, job: char, by: ab, level: 3}
    - {id: e1000002, date: 2020-01-05, job: char, by: ab, level: 3}

char-under-stave-floor: charred though its staves were measured under the floor of its type.

Why: the fire makes thin staves thinner, and a cask of them breaks under its load.
Wrong:
    # received 2020-01-01, opened 2020-01-02
    - {id: e1000001, date: 2020-01-03, job: measure, by: ab, stave_mm: 17}
    - {id: e1000002, date: 2020-01-04, job: char, by: ab, level: 3}
Right:
    # received 2020-01-01, opened 2020-01-02
    - {id: e1000001, date: 2020-01-03, job: measure, by: ab, stave_mm: 19}
    - {id: e1000002, date: 2020-01-04, job: char, by: ab, level: 3}

convert-while-rejected: converted though it was rejected.

Why: somebody refused this cask, and its wood is in stock again under another number.
Wrong:
    # TH-004217
    - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: reject}
    - {id: e1000005, date: 2020-01-05, job: convert, by: ab, children: [TH-004218]}
    # TH-004218
    - {id: e1000005, date: 2020-01-05, job: made-from, by: ab, parents: [{cask: TH-004217}],
       inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
       fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
       held: spirit}}
Right:
    # TH-004217
    - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: reject}
    - {id: e1000002, date: 2020-01-02, job: release, by: ab, why: stain only, approved_by: kd}
    - {id: e1000005, date: 2020-01-05, job: convert, by: ab, children: [TH-004218]}
    # TH-004218
    - {id: e1000005, date: 2020-01-05, job: made-from, by: ab, parents: [{cask: TH-004217}],
       inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
       fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
       held: spirit}}

convert-while-held: converted though it was held.

Why: the hold waits for a decision, and the cask that it is about is gone.
Wrong:
    # TH-004217
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: hold, by: ab, why: owner asked}
    - {id: e1000005, date: 2020-01-05, job: convert, by: ab, children: [TH-004218]}
    # TH-004218
    - {id: e1000005, date: 2020-01-05, job: made-from, by: ab, parents: [{cask: TH-004217}],
       inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
       fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
       held: spirit}}
Right:
    # TH-004217
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: hold, by: ab, why: owner asked}
    - {id: e1000002, date: 2020-01-03, job: release, by: ab, why: answered, approved_by: kd}
    - {id: e1000005, date: 2020-01-05, job: convert, by: ab, children: [TH-004218]}
    # TH-004218
    - {id: e1000005, date: 2020-01-05, job: made-from, by: ab, parents: [{cask: TH-004217}],
       inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
       fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
       held: spirit}}

convert-while-tainted: converted though its nose was at fault.

Why: the taint goes with the wood into the new casks, which say whose it is and want a clean nose before a fill.
Wrong:
    # TH-004217
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: nose, by: ab, verdict: fault, faults: [musty]}
    - {id: e1000005, date: 2020-01-05, job: convert, by: ab, children: [TH-004218]}
    # TH-004218
    - {id: e1000005, date: 2020-01-05, job: made-from, by: ab, parents: [{cask: TH-004217}],
       inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
       fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
       held: spirit,
       tainted: [{cask: TH-004217, since: 2020-01-02, why: musty}]}}
Right:
    # TH-004217
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: nose, by: ab, verdict: fault, faults: [musty]}
    - {id: e1000002, date: 2020-01-03, job: treat, by: ab, method: steam, for: taint}
    - {id: e1000003, date: 2020-01-04, job: nose, by: ab, verdict: clean}
    - {id: e1000004, date: 2020-01-04, job: release, by: ab, why: steamed, approved_by: kd}
    - {id: e1000005, date: 2020-01-05, job: convert, by: ab, children: [TH-004218]}
    # TH-004218
    - {id: e1000005, date: 2020-01-05, job: made-from, by: ab, parents: [{cask: TH-004217}],
       inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
       fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
       held: spirit}}

more-staves-than-it-had: knocked down into more staves than the cask had, or put up with more than the bundle had.

Why: the count is wrong, or strange staves are in it, of another age and another past, and nobody knows whose.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: knock-down, by: ab, staves: 31}
    - {id: e1000002, date: 2020-01-03, job: raise, by: ab, staves: 33}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: knock-down, by: ab, staves: 31}
    - {id: e1000002, date: 2020-01-03, job: raise, by: ab, staves: 33, note: two of TH-001187}
"""

from caskbook.core.finding import Severity

CODES: dict[str, Severity] = {
    "rechar-over-house-limit": "warning",
    "char-under-stave-floor": "warning",
    "convert-while-rejected": "warning",
    "convert-while-held": "warning",
    "convert-while-tainted": "warning",
    "more-staves-than-it-had": "warning",
}
