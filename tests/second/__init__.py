"""A second fold of a cask's life, written from the contract alone, and random histories on which both must tell the same."""
