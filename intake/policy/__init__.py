"""What the tool reads rather than knows: column dictionary, grading policy, jurisdictions, wording."""
