"""What to ask and what to change: the fewest questions, the smallest sets of changes, what if."""
