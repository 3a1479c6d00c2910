"""A copy of an intake workbook with the findings marked at their cells."""
