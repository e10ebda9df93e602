"""The book as tables for other programs: one declared schema, written as Parquet, CSV, JSON lines or SQLite, in parts of which only what changed is written anew."""
