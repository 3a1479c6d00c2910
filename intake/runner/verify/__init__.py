"""Whether the documents of graded batches still stand."""
