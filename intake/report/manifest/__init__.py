"""The graded manifest of a pallet, for the recycler."""
