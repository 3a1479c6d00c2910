"""From raw rows to typed batteries and findings. Never raises on what a workbook holds."""
