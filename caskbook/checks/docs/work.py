r"""Jobs that were impossible on the cask as it stood: what was in it, and whether it stood closed, open or in staves.

fill-of-full-cask: filled or seasoned while it still held liquor.

Why: the emptying was not entered, or the fill belongs to another cask; both counts are wrong until it is put right.
Wrong:
    # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
    - {id: e1000001, date: 2023-06-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
    - {id: e1000001, date: 2023-06-01, job: empty, by: ab, litres: 180, abv: 62, at_20: true}
    - {id: e1000002, date: 2023-06-02, job: examine, by: ab, verdict: sound}
    - {id: e1000003, date: 2023-06-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

fill-of-open-cask: filled with a head out.

Why: it cannot hold anything; the closing was not entered.
Wrong:
    # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
    - {id: e1000001, date: 2020-01-04, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
    - {id: e1000001, date: 2020-01-04, job: close, by: ab, heads: [A, B]}
    - {id: e1000002, date: 2020-01-04, job: test, by: ab, psi: 11, result: pass}
    - {id: e1000003, date: 2020-01-04, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

job-on-empty-cask: a job that needs liquor, on an empty cask.

Why: the filling was not entered, or the entry belongs to another cask.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-02-01, job: sample, by: ab, ml: 100}
Right:
    # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
    - {id: e1000001, date: 2020-02-01, job: sample, by: ab, ml: 100}

job-on-full-cask: a job that needs an empty cask, on a full one.

Why: the emptying was not entered, or the entry belongs to another cask.
Wrong:
    # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
    - {id: e1000001, date: 2020-02-01, job: test, by: ab, psi: 11, result: pass}
Right:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-03, job: test, by: ab, psi: 11, result: pass}

rack-in-other-spirit: racked onto another spirit.

Why: a cask holds one spirit at a time; one of the two words is wrong.
Also: rack-spirit-differs
Wrong:
    # TH-004217
    # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
    - {id: e1000001, date: 2021-01-03, job: rack-in, by: ab, spirit: grain, oak_since: 2019-01-03,
       from: [{cask: TH-004218, litres: 5, abv: 62}], at_20: true}
    # TH-004218
    # received 2018-01-01, examined 2019-01-02, filled 2019-01-03
    - {id: e1000001, date: 2021-01-03, job: rack-out, by: ab, why: topping, left_l: 180,
       to: [{cask: TH-004217, litres: 5, abv: 62}], at_20: true}
Right:
    # TH-004217
    # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
    - {id: e1000001, date: 2021-01-03, job: rack-in, by: ab, spirit: malt, oak_since: 2019-01-03,
       from: [{cask: TH-004218, litres: 5, abv: 62}], at_20: true}
    # TH-004218
    # received 2018-01-01, examined 2019-01-02, filled 2019-01-03
    - {id: e1000001, date: 2021-01-03, job: rack-out, by: ab, why: topping, left_l: 180,
       to: [{cask: TH-004217, litres: 5, abv: 62}], at_20: true}

top-of-other-spirit: topped with another spirit than the cask holds.

Why: one of the two words is wrong, or the wrong cask was topped; a mixture goes on under the name of what was there.
Wrong:
    # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
    - {id: e1000001, date: 2021-01-03, job: top, by: ab, litres: 3, abv: 62, spirit: grain,
       oak_since: 2019-01-03, at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
    - {id: e1000001, date: 2021-01-03, job: top, by: ab, litres: 3, abv: 62, spirit: malt,
       oak_since: 2019-01-03, at_20: true}

fire-on-closed-cask: shaved, toasted or charred with both heads in.

Why: nobody can; the opening was not entered, or another cask was meant.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: char, by: ab, level: 3}
Right:
    # received 2020-01-01, opened 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: char, by: ab, level: 3}

job-needs-open-cask: staves or heads worked on with both heads in.

Why: a stave comes out only of an open cask; the opening was not entered.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: stave, by: ab, staves: [4], action: rejoint}
Right:
    # received 2020-01-01, opened 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: stave, by: ab, staves: [4], action: rejoint}

job-needs-whole-cask: a test, a soak or a drive with a head out.

Why: an open cask holds neither air nor water; the closing was not entered.
Wrong:
    # received 2020-01-01, opened 2020-01-02
    - {id: e1000001, date: 2020-01-03, job: test, by: ab, psi: 11, result: pass}
Right:
    # received 2020-01-01, opened 2020-01-02
    - {id: e1000001, date: 2020-01-03, job: close, by: ab, heads: [A, B]}
    - {id: e1000002, date: 2020-01-03, job: test, by: ab, psi: 11, result: pass}

raise-of-standing-cask: raised, though it stands.

Why: only a bundle of staves is raised; the knocking down was not entered.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: raise, by: ab, staves: 31}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: knock-down, by: ab, staves: 31}
    - {id: e1000002, date: 2020-03-02, job: raise, by: ab, staves: 31}

head-already-out: a head taken out that is out.

Why: one of the two openings is another head, or another cask.
Wrong:
    # received 2020-01-01, opened 2020-01-02
    - {id: e1000001, date: 2020-01-03, job: open, by: ab, heads: [B]}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-03, job: open, by: ab, heads: [B]}

head-not-out: a head put in that is in.

Why: one of the two closings is another head, or another cask.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: open, by: ab, heads: [A]}
    - {id: e1000002, date: 2020-01-03, job: close, by: ab, heads: [A, B]}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: open, by: ab, heads: [A]}
    - {id: e1000002, date: 2020-01-03, job: close, by: ab, heads: [A]}
"""

from caskbook.core.finding import Severity

CODES: dict[str, Severity] = {
    "fill-of-full-cask": "error",
    "fill-of-open-cask": "error",
    "job-on-empty-cask": "error",
    "job-on-full-cask": "error",
    "rack-in-other-spirit": "error",
    "top-of-other-spirit": "warning",
    "fire-on-closed-cask": "error",
    "job-needs-open-cask": "error",
    "job-needs-whole-cask": "error",
    "raise-of-standing-cask": "error",
    "head-already-out": "error",
    "head-not-out": "error",
}
