r"""What was done against the house's own rules: written all the same, for the book tells what was done, and a warning.

fill-while-rejected: filled though it was rejected.

Why: somebody refused this cask; a release says who overruled it, and why.
Wrong:
    - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: reject}
    - {id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
    - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: reject}
    - {id: e1000002, date: 2020-01-02, job: release, by: ab, why: stain only, approved_by: kd}
    - {id: e1000003, date: 2020-01-02, job: examine, by: ab, verdict: sound}
    - {id: e1000004, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

fill-while-retired: filled though it was retired.

Why: a person signed that it is done; if that was wrong, the retirement is voided.
Wrong:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-03, job: retire, by: ab, reasons: [thin], approved_by: kd}
    - {id: e1000002, date: 2020-01-04, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000002, date: 2020-01-04, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

fill-while-held: filled though it was held.

Why: the hold waits for a decision; a release says that it was made.
Wrong:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: hold, by: ab, why: owner asked}
    - {id: e1000002, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: hold, by: ab, why: owner asked}
    - {id: e1000002, date: 2020-01-03, job: release, by: ab, why: answered, approved_by: kd}
    - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

fill-while-tainted: filled though its nose was at fault.

Why: one tainted cask spoils the vatting it goes into.
Wrong:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: nose, by: ab, verdict: fault, faults: [musty]}
    - {id: e1000002, date: 2020-01-03, job: release, by: ab, why: steamed, approved_by: kd}
    - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: nose, by: ab, verdict: fault, faults: [musty]}
    - {id: e1000002, date: 2020-01-03, job: treat, by: ab, method: steam, for: taint}
    - {id: e1000003, date: 2020-01-04, job: nose, by: ab, verdict: clean}
    - {id: e1000004, date: 2020-01-04, job: release, by: ab, why: steamed, approved_by: kd}
    - {id: e1000005, date: 2020-01-05, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

fill-while-sulphured: filled after sulphur was burnt in it, with no clean nose since.

Why: sulphur left in a cask goes into the spirit.
Wrong:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: sulphur, by: ab, grams: 5, why: to keep it}
    - {id: e1000002, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: sulphur, by: ab, grams: 5, why: to keep it}
    - {id: e1000002, date: 2020-01-03, job: nose, by: ab, verdict: clean}
    - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

fill-while-unexamined: filled with no examination since it came or was emptied, or too old a one.

Why: a cask dries out in the yard; every filling wants a look, and a wine cask a clean nose.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

fill-while-unrepaired: filled with a defect of its examination unanswered.

Why: what was found will leak; if it was made good, the job that did it says so with `answers`.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: examine, by: ab, verdict: repair,
       findings: [{at: hoop-A-1, defect: loose-hoop}]}
    - {id: e1000002, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: examine, by: ab, verdict: repair,
       findings: [{at: hoop-A-1, defect: loose-hoop}]}
    - {id: e1000002, date: 2020-01-02, job: drive, by: ab}
    - {id: e1000003, date: 2020-01-02, job: test, by: ab, psi: 11, result: pass}
    - {id: e1000004, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

fill-while-failed: filled after a test that failed.

Why: it leaks until a later test says otherwise.
Wrong:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: test, by: ab, psi: 11, result: fail,
       leaks: [{at: joint-4}]}
    - {id: e1000002, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: test, by: ab, psi: 11, result: fail,
       leaks: [{at: joint-4}]}
    - {id: e1000002, date: 2020-01-03, job: drive, by: ab}
    - {id: e1000003, date: 2020-01-03, job: test, by: ab, psi: 11, result: pass}
    - {id: e1000004, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

fill-while-unproved: filled after work on it, without a test that passed.

Why: repaired and rolled away without a re-test is how leakers get into the row.
Wrong:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: flag, by: ab, at: [joint-4]}
    - {id: e1000002, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-02, job: flag, by: ab, at: [joint-4]}
    - {id: e1000002, date: 2020-01-02, job: test, by: ab, psi: 11, result: pass}
    - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
       at_20: true}

over-capacity: more litres put in than the cask holds.

Why: a slip in the litres, or a capacity that was never measured.
Wrong:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 201, abv: 63.5,
       at_20: true}
Right:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 199, abv: 63.5,
       at_20: true}

test-over-house-limit: a test under more pressure than the house allows.

Why: over-pressure blows heads out and kills; most often bar or a misread gauge was typed for psi.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: test, by: ab, psi: 15, result: pass}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: test, by: ab, psi: 11, result: pass}

break-up-unretired: broken up, though nobody had retired or rejected it.

Why: a sound cask was lost, or the signature of whoever decided is missing.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: break-up, by: ab, staves_saved: 20}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: retire, by: ab, reasons: [woodworm], approved_by: kd}
    - {id: e1000002, date: 2020-01-02, job: break-up, by: ab, staves_saved: 20}

release-without-hold: released, though it was not held.

Why: the hold is missing, or another cask was meant and is still held.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: release, by: ab, why: answered, approved_by: kd}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: hold, by: ab, why: owner asked}
    - {id: e1000002, date: 2020-01-03, job: release, by: ab, why: answered, approved_by: kd}
"""

from caskbook.core.finding import Severity

CODES: dict[str, Severity] = {
    "fill-while-rejected": "warning",
    "fill-while-retired": "warning",
    "fill-while-held": "warning",
    "fill-while-tainted": "warning",
    "fill-while-sulphured": "warning",
    "fill-while-unexamined": "warning",
    "fill-while-unrepaired": "warning",
    "fill-while-failed": "warning",
    "fill-while-unproved": "warning",
    "over-capacity": "warning",
    "test-over-house-limit": "warning",
    "break-up-unretired": "warning",
    "release-without-hold": "warning",
}
