"""Unit conversions that hold by definition, so need no source."""

PERCENT = 100.0
"""Percent in one whole."""
HOURS_PER_DAY = 24.0
"""Hours in a day."""
