"""The period register on paper."""
