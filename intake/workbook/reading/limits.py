"""Every limit on a workbook that comes in, in one place.

The figures rest on a survey of 4,353 spreadsheet files (most honest, some hostile) and on two measured
workbooks of 48,000 batteries in 43 filled columns, one from a library, one re-saved by an office program.
"Survey" and "measured" below refer to these two.
"""

MIB = 1024 * 1024
"""Bytes in one mebibyte."""

FILE_BYTES_MOST = 32 * MIB
"""Measured: 14 MB for 48,000 batteries. Survey: every honest file is far below."""

MEMBERS_MOST = 3_000
"""Parts in the archive. Survey: 1,033 at most, 188 in 999 of 1,000 files."""

SHEET_BYTES_MOST = 128 * MIB
"""One worksheet, unpacked. Measured: 92 MB."""

STRINGS_BYTES_MOST = 32 * MIB
"""The table of texts, unpacked. Measured: 15 MB."""

PART_BYTES_MOST = 4 * MIB
"""Any other XML part, unpacked: styles, names, theme, links. Survey: 3.3 MB at most in an honest file."""

TOTAL_BYTES_MOST = 192 * MIB
"""All parts, unpacked. Measured: 107 MB."""

RATIO_MOST = 200
"""Unpacked to packed size of one part. Survey: 121 at most in an honest file."""

RATIO_FROM_BYTES = 2 * MIB
"""Smaller parts are not asked for their ratio. Survey: honest small parts reach 300."""

NESTING_MOST = 200
"""Elements inside elements. Survey: no honest part comes near."""

MARKUP_PIECE_BYTES_MOST = MIB
"""One tag or comment. The parser re-reads an unfinished one with every block: time grows as its square."""

OTHER_ELEMENTS_MOST = 250_000
"""Elements of a worksheet that are no row, cell or value, above and below its rows: merges and the like."""

ROW_ELEMENTS_MOST = 20_000
"""Elements inside the cells of one row beside their values, or above the first row. The reading library holds
them all at once. The format's 16,384 columns have a description each."""

HELD_BYTES_MOST = 8 * MIB
"""One row, or one entry of the table of texts. The reading library holds it whole."""

STRING_ELEMENTS_MOST = 700_000
"""Elements of the table of texts, two for each plain text. Measured: under 500,000."""

TEXT_ELEMENTS_MOST = 10_000
"""Elements of one entry of the table of texts. Four for each change of type within a text."""

PART_ELEMENTS_MOST = 150_000
"""Elements of any other part."""

TAGS_MOST = 12_000_000
"""Tags of one part, four for a cell with a value. Counted before anything is read: quick to refuse."""

TAGS_FROM_BYTES = 8 * MIB
"""Smaller parts cannot hold so many; they are read without counting."""

SHEETS_MOST = 128
"""Survey: 28 in 999 of 1,000 files."""

ROW_NUMBER_MOST = 1_048_576
"""The file format's own last row."""

COLUMN_NUMBER_MOST = 16_384
"""The file format's own last column, XFD."""

ROWS_MOST = 100_000
"""Last row with a value on a sheet that is read: twice the 48,000 batteries that have to pass."""

COLUMNS_MOST = 512
"""Last column with a value on a sheet that is read: ten times the columns of the blank workbook."""

CELLS_MOST = 3_000_000
"""Cells with a value on the sheets that are read. Measured: 2.1 million, and 190 bytes of memory each."""

TEXT_LENGTH_MOST = 32_767
"""Characters in one cell: the file format's own limit."""

CHARACTERS_MOST = 32_000_000
"""Characters in all cells of one sheet together. One long text can stand in every cell and be stored once.
Measured: 15 million if every text stood once."""

READ_BLOCK_BYTES = 256 * 1024
"""How much of a part is unpacked at a time."""
