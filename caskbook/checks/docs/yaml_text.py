r"""Faults of a file's text, before anything in it is read. In the examples \t, \r, \x1b, \xff, \ufeff stand for the signs themselves.

not-utf8: bytes that are no UTF-8.

Why: another program would read other words in their place.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, maker: Caf\xff, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, maker: Café, events: []}

byte-order-mark: a mark before the first line that no reader shows.

Why: with it the first key has another name for some readers.
Wrong:
    # TH-004217
    \ufeff{cask: TH-004217, format: 1, type: barrel, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

tab-in-file: a tab where spaces are expected.

Why: YAML forbids tabs in the margin, and editors show them each in its own width.
Wrong:
    # TH-004217
    cask: TH-004217
    format: 1
    type: barrel
    maker:\tFenwick Hollow
    events: []
Right:
    # TH-004217
    cask: TH-004217
    format: 1
    type: barrel
    maker: Fenwick Hollow
    events: []

control-character: a sign that cannot be seen and acts on a terminal.

Why: it can hide text from whoever reads a diff.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, maker: Fen\x1b[2Kwick, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, maker: Fenwick, events: []}

crlf-newlines: lines end as some editors write them, in CRLF.

Why: the file is read and keeps its newlines, but a tool that changes them shows every line as changed.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}\r
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

merge-conflict-marker: a merge left both versions, with markers between them.

Why: which of the two holds is not settled; `caskbook settle` unites the events of both.
Wrong:
    # TH-004217
    cask: TH-004217
    format: 1
    <<<<<<< ours
    type: barrel
    =======
    type: hogshead
    >>>>>>> theirs
    events: []
Right:
    # TH-004217
    cask: TH-004217
    format: 1
    type: barrel
    events: []

yaml-directive: a line that begins with %.

Why: it changes how other readers take the file.
Wrong:
    # TH-004217
    %YAML 1.1
    ---
    {cask: TH-004217, format: 1, type: barrel, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

several-documents: a second document in one file.

Why: most readers take the first and drop the rest without a word.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}
    ---
    {cask: TH-004218, format: 1, type: barrel, events: []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}
    # TH-004218
    {cask: TH-004218, format: 1, type: barrel, events: []}

yaml-syntax: the text is no YAML.

Why: from there on nothing can be read for certain.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

empty-file: nothing in the file.

Why: a cask's history is gone, or was never saved.
Wrong:
    # TH-004217
    # (nothing)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

not-a-mapping: a list or a single value where the file's keys belong.

Why: nothing says which cask it is.
Wrong:
    # TH-004217
    [cask, TH-004217]
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

nested-too-deep: maps or lists in each other beyond any need.

Why: no cask file is like that, and some readers break on it.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: [[[[[[[[[[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]]]]]]]]]]}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

file-too-large: a file larger than any cask's history.

Why: something else was saved under the cask's name.
Wrong:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}
    # (and 2,000,000 signs more)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}
"""

from caskbook.core.finding import Severity

CODES: dict[str, Severity] = {
    "not-utf8": "error",
    "byte-order-mark": "error",
    "tab-in-file": "error",
    "control-character": "error",
    "crlf-newlines": "warning",
    "merge-conflict-marker": "error",
    "yaml-directive": "error",
    "several-documents": "error",
    "yaml-syntax": "error",
    "empty-file": "error",
    "not-a-mapping": "error",
    "nested-too-deep": "error",
    "file-too-large": "error",
}
