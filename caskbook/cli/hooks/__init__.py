"""What git starts by itself: the checks before a commit and a push at the bench, and the gate of a server."""
