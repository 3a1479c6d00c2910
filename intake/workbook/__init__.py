"""Workbooks in and out: guarded reading into located raw cells, and the blank intake workbook."""
