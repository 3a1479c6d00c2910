"""The bench plan on paper: a wall chart and a sheet for each day."""
