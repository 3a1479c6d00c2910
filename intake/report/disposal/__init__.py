"""The disposal sheet: the recycle stream of a pallet, for the compliance officer."""
