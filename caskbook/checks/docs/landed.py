"""The append-only law: what landed is never altered, removed or moved. Two states of the ledger are compared, by event id.

landed-event-altered: a field of an event that had landed holds another value.
Why: an entry that changes after the fact proves nothing; a mistake is put right by a void or a replacement beside it.
Wrong:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: not seen}
Right:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    - {id: e1000002, date: 2020-01-02, job: void, by: ab, of: e1000001, why: wrong cask}

landed-event-removed: an event that had landed is gone, or bears another id.
Why: events are known by their id alone; one that is gone was history, and a new id makes another event of it.
Wrong:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    # nothing
Right:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}

landed-events-reordered: events that had landed stand in another order.
Why: the order in the file is that of the work; a reader of the diff sees lines that move as lines that changed.
Wrong:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: first}
    - {id: e1000002, date: 2020-01-02, job: note, by: ab, note: then}
    # now
    - {id: e1000002, date: 2020-01-02, job: note, by: ab, note: then}
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: first}
Right:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: first}
    - {id: e1000003, date: 2020-01-02, job: note, by: ab, note: last}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: first}
    - {id: e1000002, date: 2020-01-02, job: note, by: ab, note: entered between them}
    - {id: e1000003, date: 2020-01-02, job: note, by: ab, note: last}

landed-head-changed: a key of the head, which says what the cask is, holds another value than when it landed.
Why: every count of the cask's life rests on it; a mistake is put right by `correct` beside it, and the written head stays.
Wrong:
    # landed
    {cask: TH-004217, format: 1, type: barrel, charred: 2011, events: []}
    # now
    {cask: TH-004217, format: 1, type: barrel, charred: 2012, events: []}
Right:
    # landed
    {cask: TH-004217, format: 1, type: barrel, events: []}
    # now
    {cask: TH-004217, format: 1, type: barrel, events: []}

landed-file-removed: a cask's file that had landed is gone.
Why: a cask that leaves is disposed of or broken up in its file; without the file it never was.
Wrong:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    # no file
Right:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    - {id: e1000002, date: 2020-01-03, job: dispose, by: ab, how: sold}

landed-file-renamed: a cask's events stand in a file of another name than when they landed.
Why: the name is the cask's number, by which donors, racks and papers know it; `same-as` joins two numbers.
Wrong:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now in TH-004218
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
Right:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}

landed-file-unreadable: a file that could be read when it landed cannot be read now, or one that never could is another text now.
Why: whether its events are still what they were cannot be said.
Wrong:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: "seen}
Right:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}

landed-text-mended: a line that no reader could take when it landed reads now.
Why: what cannot be read cannot be voided; a person has to see that the line says what was meant, for the book cannot.
Wrong:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: "seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: "seen"}
Right:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}

landed-layout-changed: only comments, spaces or newlines of what had landed were changed; the data is the same.
Why: no harm is done, but an auditor looks for lines that never move.
Wrong:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab,  note: seen}
Right:
    # landed
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
    # now
    - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: seen}
"""

from caskbook.core.finding import Severity

CODES: dict[str, Severity] = {
    "landed-event-altered": "error",
    "landed-event-removed": "error",
    "landed-events-reordered": "error",
    "landed-head-changed": "error",
    "landed-file-removed": "error",
    "landed-file-renamed": "error",
    "landed-file-unreadable": "error",
    "landed-text-mended": "warning",
    "landed-layout-changed": "note",
}
