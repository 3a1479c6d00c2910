"""What is said on paper, in workbooks and in JSON; the only room that names the PDF library."""

import intake.report.drawing.library_settings  # noqa: F401  # before the library is loaded anywhere below
