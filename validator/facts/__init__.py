"""What may be said of a thing, and what is known of a place: the vocabulary, possible values, subjects."""
