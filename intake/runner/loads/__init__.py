"""Loads: what may leave is listed, what leaves is written, where each battery went is shown."""
