"""Frozen records that pass between the rooms. Standard library only."""
