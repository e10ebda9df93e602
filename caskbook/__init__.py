"""caskbook: the life-cycle ledger of a distillery's casks."""

__version__ = "0.2.0"
