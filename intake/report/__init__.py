"""The documents of one graded batch: plain content first, then the writers. Computes no grade."""
