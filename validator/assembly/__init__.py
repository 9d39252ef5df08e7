"""Reads a description into the places, junctions and job that are judged."""

from validator.assembly.cards import ProductCard, read_catalogue
from validator.assembly.reading import Assembly, read_assembly, read_assembly_file

__all__ = ["Assembly", "ProductCard", "read_assembly", "read_assembly_file", "read_catalogue"]
