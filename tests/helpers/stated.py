"""Small programmes and a small shower to lay them beside, for the tests of warranty conditions."""

from validator.assembly import read_assembly
from validator.warranty import stand
from validator.warranty.reading import read_programme

IN_FORCE = "purchases: {bought on: 2026-02-03, invoice: yes}"

PROGRAMME = """
programme: A programme
document: {title: A paper, revision: 1, in force: {from: 2026-01-01, to: 2026-12-31, on: purchases.bought on}}
places: [shower floor, shower wall]
terms:
  - term: one year
    gives: materials only
    years: 1
    starts: the day the work was complete
    conditions:
"""
A_SECOND_TERM = """
  - term: two years
    gives: labor and materials
    years: 2
    starts: the day the work was complete
    conditions:
      - {needs: Everything of the first, earlier term: one year}
      - {needs: One maker's layers, kind: tied to one maker}
"""


def small(*, use: str = "building: house", membrane: str = "membrane: {meets: A118.10}", size: str = "60 x 84 in",
          records: str = IN_FORCE, name: str = "shower wall") -> str:  # fmt: skip
    """A shower of one floor and one wall; `records` holds lines with a bar between them."""
    lines = "\n".join(f"  {line}" for line in records.split(" | "))
    return f"""
assembly: A small shower
use: {{{use}}}
places:
  shower floor: {{size: 36 x 60 in}}
  wall:
    kind: {name}
    size: {size}
    built up:
      - {membrane}
records:
{lines}
"""


def report_on(assembly: str, conditions: str, loaded, more: str = ""):
    listed = "\n".join(f"      - {{{line}}}" for line in conditions.split(" | "))
    programme = read_programme(f"{PROGRAMME}{listed}{more}", loaded.book)
    return stand(read_assembly(assembly, "a.yaml", loaded.vocabulary, loaded.catalogue), programme, loaded)


def condition_on(assembly: str, condition: str, loaded):
    return report_on(assembly, condition, loaded).terms[0].conditions[0]


STANDARD = "needs: A listed membrane, kind: by standard, applies when: {place.kind: shower wall}, requires: {membrane.meets: {has: A118.10}}"
QUALIFIED = "needs: A qualified installer, kind: by general qualification, requires: {installer.holds: {has: trade certificate}}"
VALID = "needs: Good on the day, kind: by general qualification, requires: {installer.qualified until: {not before: {fact: job.completion}}}"
REGISTERED = "needs: Registered in time, kind: administrative, within: {days: 90, from: job.completion, to: registration.received}"
AGREED = "needs: Agreed before, kind: administrative, requires: {registration.agreed before start: yes}"
INVOICE = "needs: An invoice, kind: evidence, requires: {purchases.invoice: yes}"
TESTED = "needs: A flood test that held, kind: evidence, requires: {flood test.result: level held}"
COUNTRY = "needs: In the country, kind: scope, requires: {job.country: United States}"
MAKER = "needs: One maker's layers, kind: tied to one maker"
SERVICE = "needs: Our inspector came, kind: tied to a named service"
ENOUGH = (
    "needs: Enough membrane, kind: evidence, "
    "enough: {bought: purchases.liquid membrane, one: 1 gal, does: 35 to 50 sq ft, in: [shower wall]}"
)
DONE = "completion: 2026-03-01"
