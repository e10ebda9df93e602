"""Data to text: cards, lists, maps and machine-readable answers. Decides nothing, works out no facts, prints nothing."""
