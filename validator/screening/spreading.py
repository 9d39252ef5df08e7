"""The same pieces on several machines: a Dask distributed cluster, Parquet in, Parquet out.

Every worker reads its own piece from the table and writes it to the folder of the run, so both must be where all workers
see them. A worker that dies loses nothing: its pieces are given to another, and a piece done twice is the same piece.
"""

from validator.screening.running import Run, Tell, judge_piece, numbers
from validator.screening.tables import BadTable

RETRIES = 3


def judge_spread(run: Run, done: set[int], tell: Tell, address: str) -> int:
    """Every piece that is not done, on the workers of a cluster. Returns how many pieces there are. Raises BadTable."""
    from distributed import Client, as_completed

    if run.table.suffix.lower() != ".parquet" or run.form != "parquet":
        raise BadTable(f"{run.table.name} cannot be spread. Accepted: Parquet in and Parquet out")
    every = list(numbers(run))
    try:
        client = Client(address, timeout="10s", set_as_default=False)
    except (OSError, ValueError) as problem:
        raise BadTable(f"no cluster answers at {address} ({type(problem).__name__}). Accepted: an address such as tcp://host:8786") from None
    with client:
        waiting = [client.submit(judge_piece, run, n, key=f"piece-{n}-{run.out}", pure=False, retries=RETRIES) for n in every if n not in done]
        for future in as_completed(waiting, loop=client.loop):
            tell(future.result())
    return len(every)
