"""Work against hours: what falls due in the coming weeks and what follows from emptyings, laid into the weeks of the coopers."""
