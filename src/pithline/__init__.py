"""Timbers out of crooked logs: fit with proof, set-up, and the card for the log."""

__all__ = ["__version__"]

__version__ = "0.1.0"
