"""The offline book: a page of HTML for each cask, with pages of what is due and what is in stock, and a search without a server."""
