"""A book: read from its files, put into the form that engines read, and kept between runs."""
