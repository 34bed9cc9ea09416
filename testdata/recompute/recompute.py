#!/usr/bin/env python3
"""A second, slow reading of the contract, against which the program is checked.

What: reads a folder of canonical CSV exports in pure Python and prints JSON lines: first the ledger objects (one per
file), then the measure objects, in the keys of `tripwake ledger --format json` and `tripwake measure --format json`.
Written from the contract alone, plainly, with its own statistics; it shares no code with the program.

How to run:
    python3 recompute.py DIR [--time-zone America/Chicago] [--by BY] > out.jsonl
    python3 recompute.py --self-test
BY is `all` (all months pooled), `month`, one of vehicle team urgency referring_site device diagnosis gestation_band
age_band, or `month,vehicle`; it may be given more than once. Without it, all of these are printed.

How to compare: texts of `method` and keys of `reasons` are this program's own; an object with n 0 may be missing on the
other side; numbers agree to about 1e-9 relative. Exit codes: 0 done, 1 failed, 2 wrong use.
"""
import argparse
import json
import os
import sys
import zoneinfo

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
sys.dont_write_bytecode = True

import selftest  # noqa: E402
from grouping import GROUPS  # noqa: E402
from measuring import Answers  # noqa: E402
from reading import Loader  # noqa: E402
from timelines import World  # noqa: E402

EVERY_BY = ("all", "month") + GROUPS + ("month,vehicle",)


def arguments():
    """The command line."""
    parser = argparse.ArgumentParser(description="Recompute ledger and measures from canonical exports.")
    parser.add_argument("folder", nargs="?")
    parser.add_argument("--time-zone", default="America/Chicago")
    parser.add_argument("--by", action="append")
    parser.add_argument("--self-test", action="store_true")
    parsed = parser.parse_args()
    if not parsed.self_test and not parsed.folder:
        parser.error("name a folder of exports, or --self-test")
    return parsed


def show(thing):
    """One JSON object on a line."""
    print(json.dumps(thing, ensure_ascii=False))


def main():
    """Reads, computes, prints."""
    options = arguments()
    sys.stdout.reconfigure(encoding="utf-8")
    if options.self_test:
        selftest.run()
        return
    if not os.path.isdir(options.folder):
        sys.exit(f"recompute: expected a folder of exports, found none at {options.folder}: name one that exists")
    load = Loader(options.folder, options.time_zone).run()
    for entry in load.ledger:
        show(entry)
    answers = Answers(World(load, zoneinfo.ZoneInfo(options.time_zone)))
    for by in options.by or EVERY_BY:
        for thing in answers.all("" if by == "all" else by):
            show(thing)


if __name__ == "__main__":
    main()
