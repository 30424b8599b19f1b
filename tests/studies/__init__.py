"""Studies: what the text language costs, and what holds for very many texts."""
