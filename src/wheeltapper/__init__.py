"""Decide, part by part, whether a trailer wheel end may go back on the road, and show why."""

__version__ = "0.1.0"
