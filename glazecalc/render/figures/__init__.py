"""Pictures as SVG, drawn once for page and file."""
