"""Many registrations from a table: read in pieces, judged over columns, each sent to one lane."""
