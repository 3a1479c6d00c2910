"""The page that says how a watched folder is used."""
