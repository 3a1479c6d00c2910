"""Pure functions from one battery's readings to its verdict: no clock, file, log or global."""
