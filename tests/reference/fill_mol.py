#!/usr/bin/env python3
"""Method-of-lines reference for the non-isothermal filling of a chain of passages.

One command reproduces everything (about four minutes):

    python3 -m pip install -r requirements.txt
    python3 fill_mol.py                 # writes fill_mol.json next to this file
    python3 fill_mol.py --quick         # coarse grids only, prints, writes nothing
    python3 fill_mol.py --cases AB      # full study of some cases, prints only

The equations are in mol_model.py, fluids and grids in mol_parts.py; here are the cases, the checks against closed
forms, and the convergence study that gives each output its error bar: grids
refined together by a factor of two in xi and y, then xi alone, y alone, the
time tolerance, the starting volume and the upwind scheme varied.

All quantities are plain SI.
"""

import argparse
import json
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
from scipy.integrate import solve_ivp

from mol_model import Fill
from mol_parts import CrossWlf, PowerLaw

# --------------------------------------------------------------------------
# Cases.
# --------------------------------------------------------------------------

FRACTIONS = [0.05] + [i / 10 for i in range(1, 11)]

# D1 = 8e8 Pa s makes eta0 = 314 Pa s at 438.15 K (165 degC).
FLUID_A = dict(model="cross_wlf", n=0.35, tau_star=4.0e4, d1=8.0e8, d2=333.15, a1=22.0, a2=51.6)
# D1 = 8e9 Pa s: ten times as viscous, eta0 = 3.14 kPa s at 438.15 K.
FLUID_A_STIFF = FLUID_A | dict(d1=8.0e9)
FLUID_B = dict(model="power_law", n=0.45, k_ref=1500.0, e_act=30.0e3, t_ref=438.15)

COMMON = dict(rho=5200.0, cp=650.0, k=1.6, t_noflow=343.15, noflow_width=1.0,
              t_melt=438.15, t_wall=313.15, h_contact=5000.0, fractions=FRACTIONS)


def strip(w, h, length, stations, cells=1.0):
    return dict(kind="strip", w=w, h=h, L=length, stations=stations, cells=cells)


ALONG = [0.006, 0.015, 0.030, 0.045, 0.054]

CASES = {
    "A": COMMON | dict(
        description="one strip, Cross-WLF", fluid=FLUID_A, t_fill=0.5,
        passages=[strip(0.020, 0.002, 0.060, ALONG)]),
    "B": COMMON | dict(
        description="one thinner strip, power law with Arrhenius shift", fluid=FLUID_B, t_fill=0.25,
        passages=[strip(0.020, 0.0015, 0.060, ALONG)]),
    "C": COMMON | dict(
        description="tube, strip gate, strip in a row, Cross-WLF", fluid=FLUID_A, t_fill=0.6,
        passages=[
            dict(kind="tube", R=0.003, L=0.060, stations=[0.015, 0.030, 0.045], cells=1.0),
            strip(0.004, 0.001, 0.002, [0.001], cells=0.35),
            strip(0.020, 0.002, 0.040, [0.004, 0.010, 0.020, 0.030, 0.036]),
        ]),
    "D": COMMON | dict(
        description="centre-gated disc, Cross-WLF", fluid=FLUID_A, t_fill=0.5,
        passages=[dict(kind="disc", r_in=0.002, r_out=0.020, h=0.002,
                       stations=[0.0018, 0.0045, 0.009, 0.0135, 0.0162], cells=1.0)]),
    "E": COMMON | dict(
        description="as A with ten times the viscosity and twice the fill time: strong coupling",
        fluid=FLUID_A_STIFF, t_fill=1.0, passages=[strip(0.020, 0.002, 0.060, ALONG)]),
}


def make(case, **change):
    """A runnable case: the fluid built, changes applied."""
    c = dict(case) | change
    f = dict(c["fluid"])
    model = f.pop("model")
    c["fluid"] = CrossWlf(**f) if model == "cross_wlf" else PowerLaw(**f)
    return c


# --------------------------------------------------------------------------
# Checks against closed forms.
# --------------------------------------------------------------------------

def isothermal_checks(nx, ny):
    """End-of-fill pressure, walls at melt temperature, no heating, against the closed form."""
    n, k = FLUID_B["n"], FLUID_B["k_ref"]
    out = {}
    shapes = {
        "strip": strip(0.02, 0.0015, 0.06, []),
        "tube": dict(kind="tube", R=0.003, L=0.06, stations=[]),
        "disc": dict(kind="disc", r_in=0.002, r_out=0.020, h=0.002, stations=[]),
    }
    for name, shape in shapes.items():
        case = make(COMMON | dict(fluid=FLUID_B, passages=[shape], t_fill=0.5),
                    t_wall=COMMON["t_melt"] - 1e-9)
        fill = Fill(case, nx, ny, viscous=False)
        got = fill.run(1e-5, 1e-3)["p_inlet[1]"]
        q, h = fill.q, shape.get("h")
        if name == "strip":
            want = 2 * k * shape["L"] / h * (2 * (2 * n + 1) / n * q / (shape["w"] * h**2)) ** n
        elif name == "tube":
            r = shape["R"]
            want = 2 * k * shape["L"] / r * ((3 * n + 1) / n * q / (math.pi * r**3)) ** n
        else:
            g1 = 2 * k / h * (2 * (2 * n + 1) / n * q / (2 * math.pi * h**2)) ** n
            want = g1 * (shape["r_out"] ** (1 - n) - shape["r_in"] ** (1 - n)) / (1 - n)
        out[name] = dict(computed=got, closed_form=want, relative_error=got / want - 1)
    return out


def slab_check(ny):
    """A full passage at rest, walls with contact conductance, against the slab series."""
    case = make(CASES["A"])
    fill = Fill(case, 8, ny, viscous=False)
    part = fill.parts[0]
    alpha = case["k"] / fill.rho_cp
    biot = case["h_contact"] * part.H / case["k"]
    t_end = 0.5

    def rhs(t, th):
        flux = case["k"] * part.g_cond * (th[1:] - th[:-1])
        src = np.zeros_like(th)
        src[:-1] += flux
        src[1:] -= flux
        src[-1] -= fill.wall_conductance(part) * th[-1]
        return src / fill.rho_cp / part.zeta

    sol = solve_ivp(rhs, (0, t_end), np.ones(ny), method="BDF", rtol=1e-8, atol=1e-10)
    got = float(sol.y[:, -1] @ part.zeta)
    want = 0.0
    for m in range(60):
        lo, hi = m * math.pi + 1e-12, m * math.pi + math.pi / 2 - 1e-12
        for _ in range(100):                        # z tan z = Bi, one root per branch
            z = 0.5 * (lo + hi)
            lo, hi = (z, hi) if z * math.tan(z) < biot else (lo, z)
        a = 4 * math.sin(z) / (2 * z + math.sin(2 * z))
        want += a * math.sin(z) / z * math.exp(-z * z * alpha * t_end / part.H**2)
    return dict(computed=got, series=want, relative_error=got / want - 1)


# --------------------------------------------------------------------------
# The study.
# --------------------------------------------------------------------------

GRIDS = [(20, 10), (40, 20), (80, 40), (160, 80)]
# The gate's short residence time makes C costly: three grids.
CASE_GRIDS = {"C": [(24, 12), (48, 24), (96, 48)]}
RTOL, ATOL, START = 1e-5, 1e-3, 1e-4


def study(name, spec, log):
    """All runs of one case and the table they make."""
    t_begin = time.time()
    grids = CASE_GRIDS.get(name, GRIDS)

    def run(nx, ny, rtol=RTOL, atol=ATOL, start=START, viscous=True, limited=False, **change):
        t = time.time()
        fill = Fill(make(spec, **change), nx, ny, viscous=viscous, limited=limited)
        out = fill.run(rtol, atol, start)
        log(f"  {name} {nx}x{ny} {'' if viscous else 'no heating '}{'limited ' if limited else ''}"
            f"p_end {out['p_inlet[1]'] / 1e6:.5f} MPa  {fill.nfev} evaluations  {time.time() - t:.1f} s")
        return out, fill

    levels, fills = zip(*(run(*g) for g in grids))
    mx, my = grids[-2]
    fine_x, _ = run(2 * mx, my)
    fine_y, _ = run(mx, 2 * my)
    tight, _ = run(mx, my, rtol=RTOL / 10, atol=ATOL / 10)
    start, _ = run(mx, my, start=START * 10)
    lim, _ = run(*grids[-3], limited=True)     # a second scheme, on a coarser grid
    base = levels[-2]

    def richardson(key):
        """Extrapolated value, its error bar and the order seen on the last three grids."""
        a, b, c = (lv[key] for lv in levels[-3:])
        d1, d2 = b - a, c - b
        noise = 3 * abs(tight[key] - base[key])
        order = math.log2(abs(d1 / d2)) if d1 * d2 != 0 else float("nan")
        clean = d1 * d2 > 0 and 0.7 < order < 3.0 and abs(d2) > noise
        # Never trust an order above two; without a clean sequence do not extrapolate.
        factor = 1 / (2 ** min(order, 2.0) - 1) if clean else 0.0
        value = c + factor * d2
        space = abs(factor * d2) if clean else max(abs(d2), abs(d1) / 2)
        # The starting volume enters linearly at worst: a tenfold change over nine.
        err = space + abs(tight[key] - base[key]) + abs(start[key] - base[key]) / 9
        return value, err, (order if clean else None)

    def unit(key):
        return {"p": "Pa", "d": "Pa", "t": "K"}.get(key[0], "J")

    table = {}
    for key in levels[-1]:
        value, err, order = richardson(key)
        table[key] = dict(
            value=value, error=float(f'{err:.3g}'), unit=unit(key),
            relative_error=err / abs(value) if unit(key) != "K" else None,
            observed_order=None if order is None else round(order, 2),
            grids=[lv[key] for lv in levels],
            **{f"change_{what}": float(f"{out[key] - ref[key]:.3g}") for what, out, ref in (
                ("xi_refined", fine_x, base), ("y_refined", fine_y, base), ("tolerance_tenth", tight, base),
                ("start_tenfold", start, base), ("limited_scheme", lim, levels[-3]))})

    def pick(prefix):
        """The rows of an indexed quantity as a list, in order."""
        rows = []
        for key, row in table.items():
            if key.startswith(prefix + "["):
                index = key[len(prefix) + 1:-1]
                item = {k: row[k] for k in ("value", "error")}
                if prefix in ("p_inlet", "t_front"):
                    f = float(index)
                    item = dict(fraction=f, time=f * spec["t_fill"]) | item
                elif index == "all":
                    item = dict(passage=None, s=None) | item
                elif "," in index:
                    i, s = index.split(",")
                    item = dict(passage=int(i), s=float(s)) | item
                else:
                    item = dict(passage=int(index)) | item
                rows.append(item)
        return rows

    def end(**kw):
        out, _ = run(mx, my, **kw)
        return {k: out[k] for k in ("p_inlet[1]", "t_front[1]", "t_mean_end[all]", "wall_heat")}

    p_end = table["p_inlet[1]"]
    log(f"{name}: p_end {p_end['value'] / 1e6:.5f} MPa +- {100 * p_end['relative_error']:.3f} %, "
        f"order {p_end['observed_order']}, T_f {table['t_front[1]']['value']:.3f} K "
        f"+- {table['t_front[1]']['error']:.3f}")
    passages = [{k: v for k, v in p.items() if k not in ("stations", "cells")} for p in spec["passages"]]
    inputs = {k: v for k, v in spec.items() if k not in ("description", "fractions", "passages")}
    inputs |= dict(passages=passages, volume=fills[-1].v_total, q=fills[-1].q)
    return dict(
        description=spec["description"], inputs=inputs,
        results=dict(
            p_inlet=pick("p_inlet"), t_front=pick("t_front"), t_mean_end=pick("t_mean_end"),
            drop_end=pick("drop_end"),
            **{k: {m: table[k][m] for m in ("value", "error")}
               for k in ("wall_heat", "viscous_work", "stored_end", "t_max_end")}),
        profile_end=fills[-1].profile_end,
        enthalpy_closure=[dict(nx=g[0], ny=g[1], relative=f.closure) for g, f in zip(grids, fills)],
        sensitivity=dict(
            grid=[mx, my],
            base={k: base[k] for k in ("p_inlet[1]", "t_front[1]", "t_mean_end[all]", "wall_heat")},
            no_viscous_heating=end(viscous=False),
            h_contact_doubled=end(h_contact=2 * spec["h_contact"]),
            noflow_width_3_kelvin=end(noflow_width=3.0),
            t_noflow_plus_10_kelvin=end(t_noflow=spec["t_noflow"] + 10)),
        convergence=dict(grids=[list(g) for g in grids], outputs=table),
        seconds=round(time.time() - t_begin, 1))


def rounded(value):
    """Nine digits are more than the error bars deserve, and keep the file short."""
    if isinstance(value, dict):
        return {k: rounded(v) for k, v in value.items()}
    if isinstance(value, list):
        return [rounded(v) for v in value]
    return float(f"{value:.9g}") if isinstance(value, float) else value


def compact(value, indent=""):
    """JSON with lists of numbers, and whatever fits a line, kept on one line."""
    line = json.dumps(rounded(value), allow_nan=False)
    numbers = isinstance(value, list) and not any(isinstance(v, (dict, list)) for v in value)
    if len(line) < 150 or numbers or not isinstance(value, dict | list):
        return line
    inner = indent + " "
    if isinstance(value, list):
        return "[\n" + ",\n".join(inner + compact(v, inner) for v in value) + f"\n{indent}]"
    rows = (f"{inner}{json.dumps(k)}: {compact(v, inner)}" for k, v in value.items())
    return "{\n" + ",\n".join(rows) + f"\n{indent}}}"


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("--quick", action="store_true", help="coarse grids only; print, write nothing")
    ap.add_argument("--cases", default="".join(CASES), help="letters of the cases to run (default all)")
    args = ap.parse_args()
    begin = time.time()
    if args.quick:
        for name in args.cases:
            for g in GRIDS[:3]:
                fill = Fill(make(CASES[name]), *g)
                out = fill.run(RTOL, ATOL, START)
                print(f"{name} {g}: p_end {out['p_inlet[1]'] / 1e6:.4f} MPa, T_f {out['t_front[1]']:.3f} K, "
                      f"closure {fill.closure:.1e}")
        return
    path = os.path.join(os.path.dirname(os.path.abspath(__file__)), "fill_mol.json")
    result = dict(
        about="Method-of-lines reference for the non-isothermal fill; written by fill_mol.py, SI units. "
              "Each value is extrapolated to zero grid size where the sequence allows it; `error` is the "
              "estimated remaining error of `value` (see README.md).",
        versions=dict(python=platform.python_version(), numpy=np.__version__, scipy=scipy.__version__),
        settings=dict(method="BDF", rtol=RTOL, atol=ATOL, start_fraction=START),
        checks=dict(
            isothermal_power_law={f"{a}x{b}": isothermal_checks(a, b) for a, b in GRIDS[:3]},
            slab_with_contact={str(b): slab_check(b) for _, b in GRIDS}),
        cases={})
    for name in args.cases:
        result["cases"][name] = study(name, CASES[name], lambda s: print(s, flush=True))
    if set(args.cases) == set(CASES):
        with open(path, "w", encoding="utf-8") as fh:
            fh.write(compact(result) + "\n")
        print("wrote fill_mol.json")
    print(f"{time.time() - begin:.0f} s")


if __name__ == "__main__":
    sys.exit(main())
