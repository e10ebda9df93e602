"""Explanations of codes that are reported below the rules: by the reading of files, of forms, and by the fold of events."""
