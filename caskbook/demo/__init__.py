"""A believable ledger of an invented house, of any size: the same bytes for the same seed on every machine."""
