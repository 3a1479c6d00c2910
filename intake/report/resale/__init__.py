"""The resale list and its condition sheets, for the parts yard."""
