"""Warranty programmes: the stated conditions of a document, read from its file."""

from validator.programmes.reading import programme_file, programme_names, read_programme
from validator.programmes.records import Programme

__all__ = ["Programme", "programme_file", "programme_names", "read_programme"]
