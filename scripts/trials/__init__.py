"""The audit and the learned bands put to the test: hidden causes and vehicles drawn, for scripts and tests alone."""
