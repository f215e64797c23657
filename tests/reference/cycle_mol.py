#!/usr/bin/env python3
"""Method-of-lines reference for one whole cycle: fill, hold until the gate freezes, cooling to ejection.

    python3 -m pip install -r requirements.txt
    python3 cycle_mol.py                # writes cycle_mol.json next to this file
    python3 cycle_mol.py --quick        # coarse grids only, prints, writes nothing

The equations are in cycle_hold.py (and, for the fill, cycle_parts.py and
mol_model.py); here are the cases and the convergence study that gives each output its error bar.
"""

import argparse
import math
import os
import platform
import sys
import time

# One thread: the matrices are small, and the result must not depend on the machine.
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
import scipy

from cycle_hold import RAMP, VOID, Hold
from cycle_parts import ZERO, LatentFill, Material
from fill_mol import compact

# --------------------------------------------------------------------------
# Cases: parts of a scenario document, in its own units.
# --------------------------------------------------------------------------

FEEDSTOCK = dict(
    solids_loading=60, measured_loading=60, powder_density=7950, powder_heat_capacity=480, powder_conductivity=15,
    binder_density=880, binder_heat_capacity=2300, binder_conductivity=0.2,
    latent_heat=0, solidus=45, liquidus=75, no_flow_temperature=70, ejection_temperature=55,
    flow_law=dict(cross_wlf=dict(n=0.35, tau_star=60, d1=5e11, d2=-10, d3=0, a1=25, a2=51.6)))
LINEAR = FEEDSTOCK | dict(pvt="linear", binder_expansion=10, binder_compressibility=0.9)
TAIT = FEEDSTOCK | dict(latent_heat=150, pvt=dict(tait=dict(
    b1m=1.2, b2m=7, b3m=150, b4m=4.5, b5=60, b6=0.2, b1s=1.135, b2s=6, b3s=250, b4s=3, b7=0.065, b8=0.1, b9=0.02)))
PASSAGES = [
    dict(name="sprue", role="sprue", form=dict(tube=dict(length=40, diameter=4))),
    dict(name="edge gate", role="gate", form=dict(strip=dict(length=1.5, width=3, thickness=0.8))),
    dict(name="plate", role="part", form=dict(strip=dict(length=30, width=14, thickness=1.6)))]
SETUP = dict(melt_temperature=165, mould_temperature=40, injection_time=0.4, hold_pressure=60, hold_time=3,
             contact_conductance=5000)

# What else is varied, in the case that it concerns most.
NO_HEATING = dict(change_no_heating=dict(heating=False))
STORAGE = dict(change_storage_along_the_flow=dict(storage="flow"))
SOFT_VOID = dict(change_void_tenth=dict(void=VOID / 10))

CASES = {
    "F": dict(description="linear pvT, no latent heat", feedstock=LINEAR, setup=SETUP, vary=NO_HEATING),
    "G": dict(description="Tait's equation, latent heat", feedstock=TAIT, setup=SETUP, vary=STORAGE),
    "H": dict(description="as G, the hold let off before the gate freezes", feedstock=TAIT,
              setup=SETUP | dict(hold_time=0.15), vary=SOFT_VOID),
}
END = 9.0
TIMES = [0.005, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.7, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 7.0, 8.0, END]
# Cells of each passage relative to those of the part.
CELLS = dict(sprue=0.5, gate=0.75, part=0.75)
FILL_RTOL, FILL_ATOL, START = 1e-5, 1e-3, 1e-4
RTOL, ATOL = 3e-4, 3e-2                         # of the hold
GRIDS = [(12, 8), (18, 12), (27, 18)]         # a factor of 1.5


def build(spec):
    """The case in SI, as the fill and the hold want it."""
    m, s = Material(spec["feedstock"]), spec["setup"]
    shapes = []
    for p in PASSAGES:
        kind, f = next(iter(p["form"].items()))
        shape = dict(kind=kind, L=f["length"] / 1e3, cells=CELLS[p["role"]])
        if kind == "tube":
            shape["R"] = f["diameter"] / 2e3
        else:
            shape["w"], shape["h"] = f["width"] / 1e3, f["thickness"] / 1e3
        shapes.append(shape)
    melt = s["melt_temperature"] + ZERO
    return dict(
        material=m, fluid=m.fluid, rho=m.rho, cp=m.cp, k=m.k, t_noflow=m.t_noflow, noflow_width=1.0,
        t_melt=float(m.content(melt)), t_inlet=melt, t_wall=s["mould_temperature"] + ZERO,
        h_contact=s["contact_conductance"], t_fill=s["injection_time"], passages=shapes, fractions=[1.0],
        hold_pressure=s["hold_pressure"] * 1e6, hold_time=s["hold_time"])


def cycle(spec, nx, ny, rtol=RTOL, atol=ATOL, start=START, fills=None, times=TIMES, **kw):
    """One cycle on one grid: a flat table of outputs."""
    case = build(spec)
    key = (id(spec["feedstock"]), nx, ny, start)
    t0 = time.time()
    if fills is None:
        fills = {}
    if key not in fills:
        fill = LatentFill(case, nx, ny)
        fills[key] = fill, fill.run(FILL_RTOL, FILL_ATOL, start)
    fill, filled = fills[key]
    fill.c = case
    t1 = time.time()
    hold = Hold(fill, [p["role"] for p in PASSAGES], **kw)
    rows, events = hold.run(times, rtol, atol)
    out = dict(p_fill_end=filled["p_inlet"], heat_fill=filled["wall_heat"]) | events
    for r in rows:
        for k in ("p_behind", "p_end", "lost", "part_mass"):
            out[f"{k}[{r['t']:g}]"] = r[k]
    s, e = hold.sealed, rows[-1]
    out |= dict(sealed_pressure=s["p_end"], sealed_temperature=s["t_end"], mass_sealed=s["part_mass"],
                mass_end=e["part_mass"], shrinkage=e["shrinkage"], delivered=e["delivered"], work=e["work"],
                mass_first=hold.mass_first)
    out.pop("sprue_cooled", None)               # follows the size of the cell at the nozzle
    hold.closure = (e["gained"] - e["delivered"]) / hold.mass_first
    print(f"  {nx}x{ny} {kw or ''}: fill {t1 - t0:.0f} s, hold {time.time() - t1:.0f} s, {hold.evaluations} evaluations, "
          f"{hold.jacobians} jacobians; gate {events['gate_freeze']:.4f} s, sealed {s['p_end'] / 1e6:.3f} MPa, "
          f"mass {e['part_mass'] * 1e3:.5f} g, closure {hold.closure:.1e}", flush=True)
    return out, hold


# --------------------------------------------------------------------------
# The study.
# --------------------------------------------------------------------------

def study(name, spec, fills):
    """All runs of one case and the table they make."""
    begin = time.time()
    print(f"{name}: {spec['description']}", flush=True)
    runs = [cycle(spec, *g, fills=fills) for g in GRIDS]
    levels = [out for out, _ in runs]
    coarse = levels[0]

    def changed(**kw):
        out, _ = cycle(spec, *GRIDS[0], fills=fills, **kw)
        return {k: out[k] - coarse[k] for k in coarse if k in out}

    tight = changed(rtol=RTOL / 10, atol=ATOL / 10)
    quick = changed(pause=RAMP / 4)
    ratio = GRIDS[1][0] / GRIDS[0][0]

    def row(key):
        a, b, c = (lv[key] for lv in levels)
        d1, d2 = b - a, c - b
        order = math.log(abs(d1 / d2)) / math.log(ratio) if d1 * d2 != 0 else float("nan")
        clean = d1 * d2 > 0 and 0.7 < order < 4.0
        # As in fill_mol.py: no order above two is trusted, and without a clean sequence nothing is extrapolated.
        factor = 1 / (ratio ** min(order, 2.0) - 1) if clean else 0.0
        space = abs(factor * d2) if clean else max(1.5 * abs(d2), abs(d1) / 2)
        err = space + abs(tight[key]) + abs(quick[key])
        return dict(value=c + factor * d2, error=float(f"{err:.3g}"), observed_order=round(order, 2) if clean else None,
                    grids=[a, b, c], change_tolerance_tenth=float(f"{tight[key]:.3g}"),
                    change_ramp_quarter=float(f"{quick[key]:.3g}"))

    table = {k: row(k) for k in coarse if all(k in lv for lv in levels)}
    short = lambda d: {k: float(f"{v:.4g}") for k, v in d.items() if "[" not in k}
    traces = {k: [dict(time=t, value=table[f"{k}[{t:g}]"]["value"], error=table[f"{k}[{t:g}]"]["error"]) for t in TIMES]
              for k in ("p_behind", "p_end", "lost", "part_mass")}
    m = Material(spec["feedstock"])
    for k in ("gate_freeze", "sealed_pressure", "mass_end", "shrinkage"):
        print(f"   {k} {table[k]['value']:.6g} +- {table[k]['error']:.2g}, order {table[k]['observed_order']}")
    return dict(
        description=spec["description"],
        scenario=dict(feedstock=spec["feedstock"], cavity=dict(passages=PASSAGES), setup=spec["setup"]),
        mixture=dict(rho=m.rho, cp=m.cp, k=m.k, latent_kelvin=m.latent),
        results={k: dict(value=v["value"], error=v["error"]) for k, v in table.items() if "[" not in k},
        traces=traces,
        sensitivity=dict(grid=list(GRIDS[0])) | {k: short(changed(**kw)) for k, kw in spec["vary"].items()},
        mass_closure=[h.closure for _, h in runs],
        convergence={k: v for k, v in table.items() if "[" not in k},
        seconds=round(time.time() - begin, 1))


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("--quick", action="store_true", help="coarse grid only; print, write nothing")
    ap.add_argument("--cases", default="".join(CASES), help="letters of the cases to run (default all)")
    args = ap.parse_args()
    begin, fills = time.time(), {}
    if args.quick:
        for name in args.cases:
            print(name)
            cycle(CASES[name], *GRIDS[0], fills=fills)
        return
    result = dict(
        about="Method-of-lines reference for the whole cycle; written by cycle_mol.py, SI units, times from the end of "
              "filling. Each value is extrapolated to zero grid size where the sequence allows it; `error` is the "
              "estimated remaining error of `value` (see README.md).",
        versions=dict(python=platform.python_version(), numpy=np.__version__, scipy=scipy.__version__),
        settings=dict(method="BDF", rtol=RTOL, atol=ATOL, fill_rtol=FILL_RTOL, fill_atol=FILL_ATOL, start_fraction=START,
                      grids=[list(g) for g in GRIDS], cells=CELLS, void=VOID, ramp=RAMP),
        cases={})
    for name in args.cases:
        result["cases"][name] = study(name, CASES[name], fills)
    if set(args.cases) == set(CASES):
        path = os.path.join(os.path.dirname(os.path.abspath(__file__)), "cycle_mol.json")
        with open(path, "w", encoding="utf-8") as fh:
            fh.write(compact(result) + "\n")
        print("wrote cycle_mol.json")
    print(f"{time.time() - begin:.0f} s")


if __name__ == "__main__":
    sys.exit(main())
