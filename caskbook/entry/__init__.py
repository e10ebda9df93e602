"""From what a person types to what the book will hold: reading it, judging it against the cask, and planning the files."""
