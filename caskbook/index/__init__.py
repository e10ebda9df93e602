"""The index: what was worked out of each file, kept in one disposable SQLite file so that nothing is worked out twice.

Nothing heavy is imported here: an answer that is already known is given without loading the models.
"""
