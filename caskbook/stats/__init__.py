"""Figures of the whole book: what is counted over all casks, and not said of one of them.

Pure: a module here is given facts and settings, reads no file and no index, and prints nothing. What is said of one cask stands
in `life` and `due`, what a fill lost in `loss`; the words on the screen are made in `render`.
"""
