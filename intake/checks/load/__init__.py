"""The load workbook: raw cells in, a typed load and its findings out."""
