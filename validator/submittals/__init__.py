"""A submittal from one submission to the next: what was changed, and the numbers that stay; the paragraphs it answers."""
