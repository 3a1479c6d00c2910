"""Station plan and resale value of graded batteries. Pure: records and policy in, records out."""
