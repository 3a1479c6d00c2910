"""The neutral palette: greys and one muted slate. Words and shapes carry the meaning, not colour."""

Colour = tuple[float, float, float]
"""Red, green and blue, each 0 to 1."""

INK: Colour = (0.10, 0.11, 0.12)
SLATE: Colour = (0.25, 0.29, 0.33)
GREY: Colour = (0.38, 0.40, 0.42)
RULE: Colour = (0.72, 0.74, 0.76)
PALE: Colour = (0.93, 0.94, 0.945)
WHITE: Colour = (1.0, 1.0, 1.0)
