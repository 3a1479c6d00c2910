"""What the tool is told rather than knows: column dictionary, grading policy, jurisdictions, wording."""
