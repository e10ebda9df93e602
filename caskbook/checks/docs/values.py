r"""Keys and plain values that YAML readers take in different ways, or that mean nothing.

yaml-tag: a value with a tag.

Why: a tag tells a program to read the value as something else; the file is to be plain.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: !!str barrel, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

yaml-anchor: an anchor on a value.

Why: with anchors a line's meaning stands elsewhere, and a diff does not show it.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: &t barrel, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

yaml-alias: an alias in the place of a value.

Why: its value stands elsewhere; a change there changes this line unseen.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, maker: &m Fenwick, supplier: *m, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, maker: Fenwick, supplier: Fenwick, events: []}

yaml-merge-key: a merge key in the place of the lines themselves.

Why: readers of YAML 1.2 do not know it, and read a key of that name.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, <<: {maker: Fenwick}, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, maker: Fenwick, events: []}

non-string-key: a key that is no word.

Why: readers disagree on what 1, true or a date is as a key.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, 2011: made, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, made: 2011, events: []}

row-twice: house.yaml has two rows for one day: of a dated setting, or of one person of the crew.

Why: one of the two decides about all work since; only the first counts, and which of them that is, a diff hardly shows.
Wrong:
    # house.yaml
    test_limit_psi: [{since: 2000-01-01, value: 12}, {since: 2000-01-01, value: 40}]
Right:
    # house.yaml
    test_limit_psi: [{since: 2000-01-01, value: 12}, {since: 2024-01-01, value: 11}]

duplicate-key: a key given twice.

Why: some readers take the first, some the last, none both. Where the two differ neither holds here: nobody knows which was meant.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, staves: 30, staves: 31, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, staves: 31, events: []}

ambiguous-word: a plain word that old and new readers take differently.

Why: `no` is a word in one and false in the other; 1e5 a number or not.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, owner: no, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, owner: 'no', events: []}

date-impossible: a day that is not in the calendar.

Why: 2023 had no 29 February; the day meant is another one.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, made: 2023-02-29, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, made: 2024-02-29, events: []}

time-of-day: a day with a time.

Why: the book reckons in days; a time drags in a time zone.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, made: 2011-03-01 10:30:00, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, made: 2011-03-01, events: []}

not-a-number: infinity, the mark for no number, or a number not in plain figures (0xB, 1_96, 1e3).

Why: no figure of a cask is like that, and readers take such spellings each in its own way.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, capacity_l: .nan, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, capacity_l: 200, events: []}

number-too-large: a number beyond anything that can be meant.

Why: readers round it, each in its own way.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, capacity_l: 100000000000000000000, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, capacity_l: 200, events: []}
"""

from caskbook.core.finding import Severity

CODES: dict[str, Severity] = {
    "yaml-tag": "error",
    "yaml-anchor": "error",
    "yaml-alias": "error",
    "yaml-merge-key": "error",
    "non-string-key": "error",
    "duplicate-key": "error",
    "ambiguous-word": "warning",
    "date-impossible": "error",
    "time-of-day": "error",
    "not-a-number": "error",
    "number-too-large": "error",
    "row-twice": "error",
}
