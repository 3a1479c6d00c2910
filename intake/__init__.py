"""Graded documents from a used-battery intake workbook."""

__version__ = "0.1.0"
