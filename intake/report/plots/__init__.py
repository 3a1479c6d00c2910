"""Plots of readings and bars that several documents show."""
