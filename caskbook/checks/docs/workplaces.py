r"""Jobs that were impossible where the cask was, or at a place it does not have.

arrival-not-first: a second arrival of one cask.

Why: a cask arrives once; a second receipt belongs to another cask, or two casks bear one number.
Wrong:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-02-01, job: receive, by: ab, verdict: accept}
Right:
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-02-01, job: note, by: ab, note: seen in the yard}

job-on-gone-cask: something done to a cask that is gone.

Why: broken up, converted or sold it cannot be worked on; another cask was meant.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: dispose, by: ab, how: scrapped}
    - {id: e1000002, date: 2020-01-03, job: measure, by: ab, stave_mm: 24}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
    - {id: e1000002, date: 2020-01-03, job: dispose, by: ab, how: scrapped}

job-on-away-cask: something done here to a cask that was away.

Why: its return was not entered, or the shop did it and is not named in `by`.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: send, by: ab, to: weir, why: new heads}
    - {id: e1000002, date: 2020-01-03, job: open, by: ab, heads: [A]}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: send, by: ab, to: weir, why: new heads}
    - {id: e1000002, date: 2020-01-03, job: open, by: shop-weir, heads: [A]}

job-on-missing-cask: something done to a cask that was missing.

Why: somebody had it in hand, so it was found; the book does not say so.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: missing, by: ab}
    - {id: e1000002, date: 2020-01-03, job: open, by: ab, heads: [A]}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: missing, by: ab}
    - {id: e1000002, date: 2020-01-03, job: found, by: ab, berth: Y2}
    - {id: e1000003, date: 2020-01-03, job: open, by: ab, heads: [A]}

return-without-sending: a cask came back that had not left.

Why: the sending was not entered, or another cask came back.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-09, job: return, by: ab, verdict: accept}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: send, by: ab, to: weir, why: new heads}
    - {id: e1000002, date: 2020-01-09, job: return, by: ab, verdict: accept}

found-but-not-missing: a cask found that was not missing.

Why: the book knew where it was; a move says where it is now.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-09, job: found, by: ab, berth: Y2}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-09, job: move, by: ab, berth: Y2}

no-such-stave: a stave, or a place at one, that the cask does not have.

Why: staves are numbered once for life, also where fewer or more came in their place; stave-14b is the second of two that replaced 14. Another number is
misread, or the count is wrong.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: flag, by: ab, at: [joint-32]}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: flag, by: ab, at: [joint-31]}

no-such-head-piece: a piece of a head, or a joint in it, that the head does not have.

Why: pieces are counted from the left; a number beyond the count is misread.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: flag, by: ab, at: [head-A-joint-5]}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: flag, by: ab, at: [head-A-joint-4]}

no-such-hoop: a hoop that the cask does not have.

Why: hoops are counted on each side from the chime in; six hoops are three a side.
Wrong:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: drive, by: ab, hoops: [hoop-A-4]}
Right:
    # received 2020-01-01
    - {id: e1000001, date: 2020-01-02, job: drive, by: ab, hoops: [hoop-A-3]}

leak-not-open: a job closes a leak that is not open, or a look saw one wet where none is.

Why: it was closed before, voided, or never entered: the leak that is open stays open, and one that drips without its own entry is
nowhere due for a look. What names a replaced entry means its replacement.
Wrong:
    # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
    - {id: e1000001, date: 2020-02-01, job: leak, by: ab, at: joint-4, severity: weep}
    - {id: e1000002, date: 2020-02-02, job: look, by: ab, seen: dry, of: e1000001}
    - {id: e1000003, date: 2020-02-03, job: drive, by: ab, closes: e1000001}
Right:
    # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
    - {id: e1000001, date: 2020-02-01, job: leak, by: ab, at: joint-4, severity: weep}
    - {id: e1000003, date: 2020-02-03, job: drive, by: ab, closes: e1000001}
"""

from caskbook.core.finding import Severity

CODES: dict[str, Severity] = {
    "arrival-not-first": "error",
    "job-on-gone-cask": "error",
    "job-on-away-cask": "error",
    "job-on-missing-cask": "error",
    "return-without-sending": "error",
    "found-but-not-missing": "error",
    "no-such-stave": "error",
    "no-such-head-piece": "error",
    "no-such-hoop": "error",
    "leak-not-open": "warning",
}
