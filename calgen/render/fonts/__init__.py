"""Text for PDF: faces, fallback between them, joined and right-to-left scripts, measured widths.

DejaVu Sans Condensed 2.37, regular and bold, ships here unchanged; its licence stands beside it.
"""
