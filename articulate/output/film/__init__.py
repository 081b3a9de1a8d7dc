"""The test in motion: what each frame shows, how frames are drawn, and the files they become."""
