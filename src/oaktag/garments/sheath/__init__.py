"""Parts of the sheath dress: style, halves, openings, sleeve, facings."""
