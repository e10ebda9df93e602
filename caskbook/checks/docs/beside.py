r"""What a repository can carry in beside the casks, told by the check of a whole ledger.

pending-in-git: git tracks something where several files wait to be written.

Why: no entry is made by way of a repository; such a file would be somebody else's write, done by your next command.
Wrong:
    # .pending/journal.json (in git)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

index-in-git: git tracks something of the disposable index.

Why: an index that comes with the book can say what it likes of it; each machine makes its own.
Wrong:
    # .caskbook/index.sqlite (in git)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

foreign-journal: an unfinished write of several files that this machine did not begin.

Why: what it would write nobody here has entered; it is not completed, and the files count as they are.
Wrong:
    # .pending/journal.json
    {"files": []}
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

bare-repository: a bare git repository between the ledger and the top of its work tree.

Why: git finds it before your own repository, with another history, and with settings that run programs.
Wrong:
    # HEAD (bare)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

second-house: a second house.yaml in a folder above the ledger, up to the top of its work tree.

Why: a command given there would answer from other casks than these, and nobody would see it.
Wrong:
    # ../house.yaml (above)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

overlooked-and-gone: a cask's file is gone, and git was told not to look at it.

Why: `git status` does not show it, so that the loss is seen by nobody until another clone has what this one has not.
Wrong:
    # TH-004217 (overlooked)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

cask-ignored: a file of the book that git ignores and does not track.

Why: it is in no commit, in no other clone and in no review, and nothing of git says so.
Wrong:
    # TH-004217 (ignored)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

house-among-casks: a house.yaml in casks/ or in a folder there.

Why: a command given there would take that folder for a ledger without casks; it is read neither as settings nor as a cask.
Wrong:
    # casks/TH-004/house.yaml
    name: another
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

git-unreadable: the ledger lies in a repository that git cannot read.

Why: what git tracks, leaves out or ignores cannot be told, and history cannot be checked; the casks are read all the same.
Wrong:
    # .git (a pipe)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

no-file-of-ours: something else in the place of a file or folder that this program keeps for itself.

Why: a pipe, or a file in the place of a folder, keeps the index or an entry from being written.
Wrong:
    # .pending (a pipe)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

casks-missing: git knows casks and none is on disk: their folder is gone, empty, or no folder.

Why: every list is empty then, and looks as if nothing were due.
Wrong:
    # TH-004217 (gone)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}

submodule-in-casks: another git repository among the casks.

Why: its files are not in this book's history: a clone has none of them, and nobody reviews them.
Wrong:
    # casks/TH-005 (another repository)
Right:
    # casks/TH-005/TH-005001.yaml
    {cask: TH-005001, format: 1, type: barrel, events: []}

name-not-utf8: a file name in casks/ that is no UTF-8.

Why: not every machine can hold such a name, and none can show it.
Wrong:
    # casks/TH-004/TH-004\xff.yaml
    {cask: TH-004217, format: 1, type: barrel, events: []}
Right:
    # casks/TH-004/TH-004217.yaml
    {cask: TH-004217, format: 1, type: barrel, events: []}

conflicted-copy: a second version of a cask's file beside it, as sync programs make them.

Why: what was entered there is in no cask of the book; it is not read, lest the cask be counted twice.
Wrong:
    # casks/TH-004/TH-004217.sync-conflict-20250101.yaml
    {cask: TH-004217, format: 1, type: barrel, events: []}
Right:
    # casks/TH-004/TH-004217.yaml
    {cask: TH-004217, format: 1, type: barrel, events: []}

sparse-checkout: cask files that git keeps and this work tree leaves out.

Why: they are neither checked nor listed here, and casks that name them find nothing.
Wrong:
    # TH-004217 (left out)
Right:
    # TH-004217
    {cask: TH-004217, format: 1, type: barrel, events: []}
"""

from caskbook.checks import above
from caskbook.core.finding import Severity

CODES: dict[str, Severity] = {
    "pending-in-git": "error",
    "index-in-git": "error",
    "foreign-journal": "error",
    **above.CODES,
    "overlooked-and-gone": "error",
    "cask-ignored": "error",
    "house-among-casks": "error",
    "git-unreadable": "warning",
    "no-file-of-ours": "error",
    "casks-missing": "error",
    "submodule-in-casks": "error",
    "name-not-utf8": "error",
    "conflicted-copy": "error",
    "sparse-checkout": "warning",
    "stray-file": "warning",
}
