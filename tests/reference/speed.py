#!/usr/bin/env python3
"""The same operating point by SciPy's method of lines and by the program, at equal accuracy, timed in one run.

    python3 -m pip install -r requirements.txt
    python3 speed.py                    # builds the program with cargo, then runs both; some minutes
    python3 speed.py --program PATH     # a program that is built already

The accuracy is that of cycle_mol.json: the worst relative distance from its values of the pressure at
the end of filling, gate freeze, cooling of the part and mass of the part. SciPy gets the coarsest grid,
of those below, with which it is no worse than the program on its default grid. The program's time is
that of the whole process: start, reading, fill, hold, cooling, limits, writing the report.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from cycle_mol import CASES, cycle

HERE = os.path.dirname(os.path.abspath(__file__))
GRIDS = [(3, 4), (4, 5), (6, 6), (8, 8), (12, 8), (18, 12)]
RUNS = 20
# What is compared, and where the report has it, as a function of the report.
COMPARED = {
    "p_fill_end": lambda r: r["fill"]["required_pressure_mpa"] * 1e6,
    "gate_freeze": lambda r: r["hold"]["gates"][0]["freeze_s"],
    "part_cooled": lambda r: r["cool"]["cooling_time_s"],
    "mass_end": lambda r: r["hold"]["part_mass_g"] / 1e3,
}


def worst(found, reference):
    """The worst relative distance, and what it is of."""
    off = {k: abs(found[k] / reference[k]["value"] - 1) for k in COMPARED}
    key = max(off, key=off.get)
    return off[key], key


def program(path, scenario):
    """Best time of a run [s], and what the report says."""
    with tempfile.NamedTemporaryFile("w", suffix=".json", delete=False) as fh:
        json.dump(dict(gatefrost=1, name="reference case") | scenario, fh)
    try:
        best = float("inf")
        for _ in range(RUNS):
            begin = time.perf_counter()
            out = subprocess.run([path, "report", fh.name], stdout=subprocess.PIPE, check=False).stdout
            best = min(best, time.perf_counter() - begin)
    finally:
        os.unlink(fh.name)
    report = json.loads(out)
    return best, {k: of(report) for k, of in COMPARED.items()}


def build():
    subprocess.run(["cargo", "build", "--quiet", "--release", "--package", "gatefrost-cli"], cwd=HERE, check=True)
    out = subprocess.run(["cargo", "metadata", "--format-version", "1", "--no-deps"], cwd=HERE, check=True, stdout=subprocess.PIPE)
    return os.path.join(json.loads(out.stdout)["target_directory"], "release", "gatefrost")


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("--program", help="the program; built with cargo unless given")
    args = ap.parse_args()
    path = args.program or build()
    with open(os.path.join(HERE, "cycle_mol.json"), encoding="utf-8") as fh:
        kept = json.load(fh)["cases"]
    for name in ("F", "G"):
        reference = kept[name]["results"]
        took, found = program(path, kept[name]["scenario"])
        off, of = worst(found, reference)
        print(f"{name}: the program takes {took * 1e3:.1f} ms, off by {off:.2%} ({of})", flush=True)
        for grid in GRIDS:
            begin = time.perf_counter()
            out, _ = cycle(CASES[name], *grid)
            slow = time.perf_counter() - begin
            theirs, of = worst(out, reference)
            print(f"   SciPy on {grid[0]}x{grid[1]}: {slow:.1f} s, off by {theirs:.2%} ({of})", flush=True)
            if theirs <= off:
                print(f"{name}: at equal accuracy SciPy takes {slow / took:.0f} times as long", flush=True)
                break
        else:
            sys.exit("no grid was fine enough")


if __name__ == "__main__":
    main()
