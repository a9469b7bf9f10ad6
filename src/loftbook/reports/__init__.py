"""Letters, lists and sheets, composed as values; one edge writes the PDF."""
