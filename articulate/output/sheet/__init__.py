"""The test-day sheet: its content, as a page and as a PDF."""
