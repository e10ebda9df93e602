"""The index: what was worked out of each file, kept in one disposable SQLite file so that nothing is worked out twice.

All others use one object, `index.Index`. How `caskbook due` flows, each step calling only the next ones:

    cli/commands/due    options → which rules, types, berths (listing.Filter) and verdicts
    index.Index.answer  opens the file (store), finds the house's settings (house_settings) and so the day
    files_now           the files as they are, each with a stamp (git, else the file system)
    file_contents       stamps as before: known; others: which content each file has now
    refresh.Refresh     unknown content → worker on all cores → life_rows; lives of the day → stored_answer
    loss_verdicts       each fill held against its peers, as all lives of the answer have them (peers)
    answer.Answer       the number of that answer, held while it is read
    listing             its verdicts counted, filtered, in order → DueList
    render.due          text, JSON or CSV, printed by cli/commands/due

`list` and `query` end in views and sql instead of listing, `show`, `enter` and a report of named casks take a peek, `check` has
check_book. Nothing heavy is imported here: an answer that is already known is given without loading the models.
"""
