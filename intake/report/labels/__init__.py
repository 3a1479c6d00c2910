"""Sheets of labels, one for each battery."""
