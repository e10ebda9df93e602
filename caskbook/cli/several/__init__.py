"""Commands asked of several ledgers at once."""
