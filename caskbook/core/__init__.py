"""What every room stands on: findings and errors, days, what this run has put on disk, names loaded when asked for."""
