"""The command line: each command gathers, calls the rooms below, renders and exits; nothing is worked out here."""
