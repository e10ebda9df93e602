"""Completion in shells: what may follow on a command line, found without loading anything that is slow."""
