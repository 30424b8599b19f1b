"""Pages in a real browser, before real processes."""
