"""A folder that is watched: each workbook saved into it is graded once it is complete."""
