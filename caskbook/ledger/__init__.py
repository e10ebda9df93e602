"""A folder of casks: found, read on all cores, written so that nothing is lost, and as it stood in a revision of git."""
