"""What a job takes: its sums, the buying list, the calendar."""
