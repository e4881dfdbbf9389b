"""How long planning a site takes, with and without weighing the beds together. Run: python tests/bench/plan_beds.py"""

from pathlib import Path
from time import process_time

from calgen.command.load import desk
from calgen.planner.plan import plan

SITE = Path(__file__).parents[2] / "sites" / "withy-row.yaml"


def main() -> None:
    """Print seconds of processor time for planning twelve beds: first run, then with warm tables."""
    found = desk(SITE)
    knowledge, climate = found.knowledge, found.climate
    for name in ("first", "again", "again"):
        start = process_time()
        beds = plan(found.site, climate, knowledge).beds
        print(f"{name}: {len(beds)} beds in {process_time() - start:.2f} s")


if __name__ == "__main__":
    main()
