"""Pages for people: the test-day sheet and the report, each one self-contained HTML file."""
