"""Git's merge driver. It loads next to nothing, for git starts it once for each file."""

END = ".end"
"""The file of a sign of its own for each merge, which stands behind each version: so two versions side by side are never taken for two others."""
