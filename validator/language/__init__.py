"""What is written, as text with line and column: amounts, YAML, complaints, editing a file."""
