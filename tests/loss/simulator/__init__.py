"""An outside world for the verdict on a fill's loss: vessels, stores, weather, gauges, slips and leaks, with physics of its own.

Nothing here imports how caskbook measures, compares or judges a loss. What comes out are cask files as a house would write them; what
was true of them is kept apart, and only `scoring` holds one against the other.
"""
