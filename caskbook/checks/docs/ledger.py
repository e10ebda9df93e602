r"""What lies among the casks of a ledger and is no cask file; and parts of which a donor had fewer, told by the rule on staves.

stray-file: something in casks/ that is no cask file.

Why: a file under a wrong name is a cask that no command sees.
Wrong:
    # casks/TH-004/TH-004217.yml
    {cask: TH-004217, format: 1, type: barrel, events: []}
Right:
    # casks/TH-004/TH-004217.yaml
    {cask: TH-004217, format: 1, type: barrel, events: []}

symbolic-link: a link where a cask file belongs.

Why: what is read would lie elsewhere, outside the book and its history.
Wrong:
    # casks/TH-004/TH-004217.yaml -> ../../../elsewhere.yaml
Right:
    # casks/TH-004/TH-004217.yaml
    {cask: TH-004217, format: 1, type: barrel, events: []}

unreadable-file: a file that the machine refuses to read.

Why: nothing is known of the cask until it can be read.
Wrong:
    # casks/TH-004/TH-004217.yaml (no permission)
Right:
    # casks/TH-004/TH-004217.yaml
    {cask: TH-004217, format: 1, type: barrel, events: []}

donor-out-of-heads: more heads taken from a donor than were saved of it.

Why: one of them came from elsewhere; a head bears a number, and may bear the wrong one.
Wrong:
    # TH-001187
    - {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
    - {id: e1000002, date: 2019-01-02, job: break-up, by: ab, heads_saved: 0}
    # TH-004217
    # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
    - {id: e1000001, date: 2020-01-04, job: head, by: ab, head: B, action: replace,
       from: TH-001187}
Right:
    # TH-001187
    - {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
    - {id: e1000002, date: 2019-01-02, job: break-up, by: ab, heads_saved: 1}
    # TH-004217
    # received 2020-01-01, examined 2020-01-02, opened 2020-01-03
    - {id: e1000001, date: 2020-01-04, job: head, by: ab, head: B, action: replace,
       from: TH-001187}

donor-out-of-hoops: more hoops taken from a donor than were saved of it.

Why: one of them came from elsewhere, or the count at the breaking up is wrong.
Wrong:
    # TH-001187
    - {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
    - {id: e1000002, date: 2019-01-02, job: break-up, by: ab, hoops_saved: 0}
    # TH-004217
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-04, job: hoop, by: ab, hoops: [A-1], from: TH-001187}
Right:
    # TH-001187
    - {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}
    - {id: e1000002, date: 2019-01-02, job: break-up, by: ab, hoops_saved: 1}
    # TH-004217
    # received 2020-01-01, examined 2020-01-02
    - {id: e1000001, date: 2020-01-04, job: hoop, by: ab, hoops: [A-1], from: TH-001187}
"""

from caskbook.core.finding import Severity

CODES: dict[str, Severity] = {
    "stray-file": "warning",
    "symbolic-link": "error",
    "unreadable-file": "error",
    "donor-out-of-heads": "error",
    "donor-out-of-hoops": "error",
}
