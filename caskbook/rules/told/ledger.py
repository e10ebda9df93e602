r"""What lies among the casks of a ledger and is no cask file.

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
"""
