"""Judges very many places at once: fused trees compiled to Polars expressions, one row a place.

`Columns` compiles a book for the facts that a table holds and judges it, `ColumnsAsTold` as told; `places_of` packs described places, and `variants_of`
places that differ from some in a few facts. Polars is imported only inside this package and by screening.
"""

from validator.engines.columns.as_told import BothReadings, ColumnsAsTold, ToldPart
from validator.engines.columns.judge import Columns, Follows, OutcomeTable
from validator.engines.columns.places import NotInColumns, Places, places_of
from validator.engines.columns.variants import Variant, variants_of

__all__ = ["BothReadings", "Columns", "ColumnsAsTold", "OutcomeTable", "Follows", "ToldPart", "NotInColumns", "Places", "Variant", "places_of", "variants_of"]
