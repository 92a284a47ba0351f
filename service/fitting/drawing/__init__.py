"""The drawing of an answer: lengths become shapes, shapes become a sheet, the sheet becomes SVG."""
