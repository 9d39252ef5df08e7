"""From what is seen to what could explain it: causes in order, what speaks for and against each, and the look that would tell."""
