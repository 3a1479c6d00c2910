"""What several documents say: batteries, batches, totals and longer texts in words. Draws nothing."""
