"""The same book over very many places at once: fused trees as Polars expressions, one row a place.

`Columns` compiles a book for the facts that a table holds and judges it; `places_of` packs described places. Polars is
imported only inside this package.
"""

from validator.engines.columns.judge import Columns, Judged
from validator.engines.columns.places import NotInColumns, Places, places_of

__all__ = ["Columns", "Judged", "NotInColumns", "Places", "places_of"]
