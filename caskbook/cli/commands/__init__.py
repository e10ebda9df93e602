"""One module for each command: it gathers, calls the rooms below, renders and exits; what only one command needs stands beside it."""
