"""The blank intake workbook with its lists and its Guide."""
