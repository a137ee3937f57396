"""DejaVu Sans, regular and bold, its licence, and the table of its advance widths."""
