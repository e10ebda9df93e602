"""The steps of `enter` at the command line: what was meant, asked, told and written, one cask, a scan or a sheet."""
