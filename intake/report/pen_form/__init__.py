"""The short form on paper, to be filled in with a pen and typed in later."""
