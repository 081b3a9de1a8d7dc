"""The library's functions: what a person asks, as `import articulate` offers it."""
