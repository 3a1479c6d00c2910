"""The load sheet: what leaves the yard at one time for one receiver."""
