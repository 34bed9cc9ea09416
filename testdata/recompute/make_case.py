#!/usr/bin/env python3
"""The committed whole-run cases: exports, and the ledger and measures that recompute gives for them.

What: each case is a folder beside this one, `NAME/in` with exports of make_exports.py and `NAME/want` with ledger.csv and
measures.csv. The program's tests hold `tripwake load`, `ledger` and `measure` to them.

How to run:
    python3 make_case.py            # writes all cases anew, exports too
    python3 make_case.py --check    # says whether `want` is still what recompute gives for `in`
    python3 make_case.py --one SEED DIR [--transports N]     # one more case, into DIR/in and DIR/want
Exit codes: 0 done or all the same, 1 something differs, 2 wrong use.
"""
import argparse
import csv
import io
import os
import shutil
import subprocess
import sys
import zoneinfo

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
sys.dont_write_bytecode = True

from grouping import GROUPS  # noqa: E402
from measuring import Answers  # noqa: E402
from reading import Loader  # noqa: E402
from timelines import World  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
ZONE = "America/Chicago"
CASES = {"mixed-exports-a": (11, 12), "mixed-exports-b": (18, 17)}     # name: seed, random transports
LEDGER = ("file", "table", "read", "stored", "repeated", "refused", "cells_refused", "superseded")
MEASURE = ("measure", "month", "by", "group", "n", "numerator", "denominator", "value", "low", "high", "mean", "p90",
           "on_target")
EVERY_BY = ("", "month") + GROUPS + ("month,vehicle",)


def table(columns, things):
    """CSV text of dictionaries; an empty cell is null."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    for thing in things:
        cells = (thing.get(c) for c in columns)
        writer.writerow("" if c is None else f"{c:.12g}" if isinstance(c, float) else c for c in cells)
    return out.getvalue()


def wanted(folder):
    """{file name: text} of what a folder of exports ought to give; answers without data are left out."""
    load = Loader(folder, ZONE).run()
    answers = Answers(World(load, zoneinfo.ZoneInfo(ZONE)))
    told = [a for by in EVERY_BY for a in answers.all(by) if a["n"]]
    return {"ledger.csv": table(LEDGER, load.ledger), "measures.csv": table(MEASURE, told)}


def invent(folder, seed, transports):
    """Writes the exports of a case anew."""
    shutil.rmtree(folder, ignore_errors=True)
    subprocess.run([sys.executable, os.path.join(HERE, "make_exports.py"), str(seed), folder, "--transports",
                    str(transports)], check=True)


def write(case, seed, transports):
    """Writes a case: exports and what they ought to give."""
    invent(os.path.join(case, "in"), seed, transports)
    os.makedirs(os.path.join(case, "want"), exist_ok=True)
    for name, text in wanted(os.path.join(case, "in")).items():
        with open(os.path.join(case, "want", name), "w", encoding="utf-8", newline="") as handle:
            handle.write(text)


def differs(case):
    """The files of a case that are no longer what recompute gives."""
    found = []
    for name, text in wanted(os.path.join(case, "in")).items():
        with open(os.path.join(case, "want", name), encoding="utf-8", newline="") as handle:
            if handle.read() != text:
                found.append(os.path.join(case, "want", name))
    return found


def main():
    """Writes or checks."""
    parser = argparse.ArgumentParser(description="Write or check the whole-run cases.")
    parser.add_argument("--check", action="store_true")
    parser.add_argument("--one", nargs=2, metavar=("SEED", "DIR"))
    parser.add_argument("--transports", type=int, default=60)
    options = parser.parse_args()
    if options.one:
        write(options.one[1], int(options.one[0]), options.transports)
        return
    cases = {os.path.join(os.path.dirname(HERE), name): how for name, how in CASES.items()}
    if not options.check:
        for case, how in cases.items():
            write(case, *how)
        return
    stale = [name for case in cases for name in differs(case)]
    if stale:
        sys.exit("make_case: no longer what recompute gives: " + ", ".join(stale) + "; run python3 make_case.py")
    print(f"make_case: {len(cases)} cases are what recompute gives")


if __name__ == "__main__":
    main()
