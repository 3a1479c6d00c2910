"""An .xlsx file in, located raw cells out; input is hostile until it is read."""
