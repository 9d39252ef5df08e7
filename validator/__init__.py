"""Judges a described tile or stone assembly against a rulebook."""
