"""The copy for parents, her own sheet, the mail draft, and the papers of a camp: each to be read before it goes out."""
