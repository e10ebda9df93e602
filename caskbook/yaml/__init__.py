"""YAML as data with exact places, and data as YAML: knows nothing of casks, and serves every file of a ledger."""
