"""The audit put to the test: hidden causes, drawn or made by hand."""
