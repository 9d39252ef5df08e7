"""The same pieces on several machines: a Dask distributed cluster, Parquet in, Parquet out.

Every worker reads its own piece from the table and writes it to the folder of the run, so both must be where all workers
see them. A worker that dies loses nothing: its pieces are given to another, and a piece done twice is the same piece.
"""

from validator.screening.known import mark_of
from validator.screening.rows import BadTable
from validator.screening.running import Begun, Tell, judge_piece
from validator.screening.tables import count_of

RETRIES = 3
CONNECT_WITHIN = "10s"


def judge_spread(work: Begun, tell: Tell, address: str) -> int:
    """Every piece that is not done, on the workers of a cluster. Returns how many pieces there are. Raises BadTable."""
    from distributed import Client, as_completed

    run = work.run
    if run.table.suffix.lower() != ".parquet" or run.form != "parquet":
        raise BadTable(f"{run.table.name} cannot be spread. Accepted: Parquet in and Parquet out")
    count = -(-count_of(run.table) // run.piece)
    try:
        client = Client(address, timeout=CONNECT_WITHIN, set_as_default=False)
    except (OSError, ValueError) as problem:
        raise BadTable(f"no cluster answers at {address} ({type(problem).__name__}). Accepted: an address such as tcp://host:8786") from None
    with client:
        waiting = {
            client.submit(judge_piece, run, work.known, n, key=f"piece-{n}-{mark_of(work.known)}", pure=False, retries=RETRIES): n
            for n in range(count) if n not in work.done
        }  # fmt: skip
        for future in as_completed(list(waiting), loop=client.loop):
            work.done[waiting[future]] = future.result()
            tell(future.result().rows)
    return count
