"""How pages are drawn: marks, text, flow, tables, fonts, styles, and the PDF file. Knows no battery."""
