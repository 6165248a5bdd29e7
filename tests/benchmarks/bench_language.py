"""How long it takes to tell a drawn page in the second language, once its phrases have been met.

PYTHONPATH=src python tests/benchmarks/bench_language.py
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "language"))

from crawl import Visit, demo_home, outfits

from handfast.language.markup import texts_of, translate_markup

ROUNDS = 50


def main() -> None:
    """Print the texts of two pages and the processor time to tell each, first and warm."""
    with tempfile.TemporaryDirectory() as folder:
        visit = Visit(demo_home(Path(folder)), "en")
        for address in ("/inquiries/1", outfits(visit, 1)[0]):
            page = visit.get(address)
            speaker = visit.app.state.desk.speaker("es")
            began = time.process_time()
            translate_markup(page, speaker, "es")
            first = time.process_time() - began
            began = time.process_time()
            for _ in range(ROUNDS):
                translate_markup(page, speaker, "es")
            warm = (time.process_time() - began) / ROUNDS
            count = len(texts_of(page))
            print(f"{address[:40]:40} {count:5} texts, first {1e3 * first:6.1f} ms, warm {1e3 * warm:5.2f} ms")


if __name__ == "__main__":
    main()
