"""Batches through all stages, and their documents onto the disk."""
