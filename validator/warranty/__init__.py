"""What a warranty document's stated conditions come to on a described assembly."""

from validator.warranty.judging import stand
from validator.warranty.record import Standing, WarrantyReport

__all__ = ["Standing", "WarrantyReport", "stand"]
