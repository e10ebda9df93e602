"""The house's old books brought over: a register in a spreadsheet, read by a map, becomes the files of its casks.

`grid` reads the spreadsheet, `register_map` what each column means, `reading` a cell, `opening` makes a row's head and entries of them,
`plan` holds all rows against each other and the book. Nothing here prints or writes.
"""
