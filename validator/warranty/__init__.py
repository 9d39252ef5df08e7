"""What a warranty document's stated conditions come to on a described assembly."""

from validator.warranty.report import Standing, WarrantyReport
from validator.warranty.terms import stand

__all__ = ["Standing", "WarrantyReport", "stand"]
