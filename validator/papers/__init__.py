"""Papers: everything that a person or another program reads, made from a report. They hold words and layout only."""
