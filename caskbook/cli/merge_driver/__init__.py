"""Git's merge driver. It loads next to nothing, for git starts it once for each file."""
