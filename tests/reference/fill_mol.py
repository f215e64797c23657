#!/usr/bin/env python3
"""Method-of-lines reference for the non-isothermal filling of a chain of passages.

One command reproduces everything:

    python3 -m pip install -r requirements.txt
    python3 fill_mol.py                 # writes fill_mol.json next to this file
    python3 fill_mol.py --quick         # coarse grids only, prints, writes nothing

It shares no code with the Rust solver and is built differently, so that a
common mistake is unlikely to cancel:

* The filled part of the passage being filled is mapped onto xi = V/Vf(t) in
  [0, 1], with V the volume counted from its inlet and Vf the volume filled so
  far (for a strip or a tube that is s/s_f(t)).  The grid follows the front;
  what crosses a grid face is the *relative* flow Q*phi_j - xi*dVf/dt*zeta_j,
  where phi_j and zeta_j are layer j's shares of the flow and of the area.
* Energy is a finite-volume balance in (xi, y).  The flow between layers comes
  from the discrete continuity equation.  Faces in xi take a second-order
  upwind (Fromm) value by the sign of the relative flow; faces across the gap
  take the linear interpolant.
* At xi = 1, layers slower than the mean receive the front temperature
  T_f = sum+ (q - U a) T / sum+ (q - U a): enthalpy is conserved to round-off.
* The shear rate is constant within a layer, so layer flows, cumulative flow
  and dissipation are consistent exactly: sum of dissipation = G*Q.
* G follows at each station from Q by a vectorised Newton iteration on ln G.
* Time: SciPy's BDF (orders 1 to 5), with a sparse Jacobian in which the
  velocities are frozen (that changes the effort, not the answer).

Errors: each case runs on grids refined together by a factor of two in xi and
y, and again with xi alone, y alone, the time tolerance, the starting volume
and the upwind scheme varied.  See README.md for how the error bars are made.

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
import scipy.sparse as sp
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicHermiteSpline, CubicSpline

R_GAS = 8.314462618  # J/(mol K)


# --------------------------------------------------------------------------
# Fluids: shear rate as an explicit function of stress and temperature.
# --------------------------------------------------------------------------

class CrossWlf:
    """eta = eta0/(1 + (eta0 g/tau*)^(1-n)), eta0 = D1 exp(-A1 (T-D2)/(A2+T-D2))."""

    def __init__(self, n, tau_star, d1, d2, a1, a2):
        self.n, self.tau_star, self.d1, self.d2, self.a1, self.a2 = n, tau_star, d1, d2, a1, a2
        # With x = eta0 g/tau*, L = ln x obeys ln(tau/tau*) = L - ln(1 + e^{(1-n)L}),
        # whatever the temperature: tabulate the inverse once (error below 1e-10).
        big_l = np.linspace(-60.0, 80.0, 14001)
        e = (1 - n) * big_l
        ln_tau = big_l - np.logaddexp(0.0, e)
        slope = 1 - (1 - n) / (1 + np.exp(-e))
        self._inv = CubicHermiteSpline(ln_tau, big_l, 1 / slope)
        self._d_inv = self._inv.derivative()

    def ln_mobility(self, temp):
        """The part of ln(shear rate) that depends on temperature only."""
        d = temp - self.d2
        return math.log(self.tau_star / self.d1) + self.a1 * d / (self.a2 + d)

    def ln_rate(self, ln_tau):
        """The part that depends on stress only."""
        return self._inv(ln_tau - math.log(self.tau_star))

    def d_ln_rate(self, ln_tau):
        """d ln(shear rate)/d ln(stress)."""
        return self._d_inv(ln_tau - math.log(self.tau_star))


class PowerLaw:
    """eta = K exp[(E/R)(1/T - 1/Tref)] g^(n-1)."""

    def __init__(self, n, k_ref, e_act, t_ref):
        self.n, self.k_ref, self.e_act, self.t_ref = n, k_ref, e_act, t_ref

    def ln_mobility(self, temp):
        ln_k = math.log(self.k_ref) + self.e_act / R_GAS * (1 / temp - 1 / self.t_ref)
        return -ln_k / self.n

    def ln_rate(self, ln_tau):
        return ln_tau / self.n

    def d_ln_rate(self, ln_tau):
        return np.full_like(ln_tau, 1 / self.n)


# --------------------------------------------------------------------------
# One passage and its grid.
# --------------------------------------------------------------------------

class Passage:
    """Geometry and grid of a strip, tube or disc; s runs from its inlet."""

    def __init__(self, shape, nx, ny):
        self.shape, self.nx, self.ny = shape, nx, ny
        kind = shape["kind"]
        tube = kind == "tube"
        self.H = shape["R"] if tube else shape["h"] / 2
        self.L = shape["L"] if kind != "disc" else shape["r_out"] - shape["r_in"]
        if kind == "strip":
            self.area = shape["w"] * shape["h"]
        elif tube:
            self.area = math.pi * shape["R"] ** 2
        if kind == "disc":
            self.volume = math.pi * shape["h"] * (shape["r_out"] ** 2 - shape["r_in"] ** 2)
        else:
            self.volume = self.area * self.L

        # Gap grid: layers narrow towards the wall (about 1:4).
        beta = 1.5
        f = np.linspace(0, 1, ny + 1)
        y = self.H * np.tanh(beta * f) / math.tanh(beta)
        yc = 0.5 * (y[1:] + y[:-1])
        lo, hi = y[:-1], y[1:]
        H = self.H
        if tube:
            self.zeta = (hi**2 - lo**2) / H**2
            self.base = (hi**3 - lo**3) / 3            # Q = W sum(base g), W = pi
            self.tri = 2 * (hi * (hi**2 - lo**2) / 2 - (hi**3 - lo**3) / 3)
            self.cell = hi**2 - lo**2                  # layer area / W
            self.lever = yc / 2                        # tau = lever * G
            face_per_volume = 2 * y / H**2
        else:
            self.zeta = (hi - lo) / H
            self.base = (hi**2 - lo**2) / 2            # Q = W sum(base g), W = 2 w
            self.tri = (hi - lo) ** 2 / 2
            self.cell = hi - lo
            self.lever = yc
            face_per_volume = np.full_like(y, 1 / H)
        self.y, self.yc, self.dy = y, yc, hi - lo
        self.ln_lever = np.log(self.lever)
        # Conduction per unit column volume: conductances between layers and to the wall.
        self.g_cond = face_per_volume[1:-1] / (yc[1:] - yc[:-1])
        self.wall_gap = H - yc[-1]
        self.wall_per_volume = face_per_volume[-1]
        self.wy = (y[1:-1] - yc[:-1]) / (yc[1:] - yc[:-1])   # linear interpolation to faces

        # Grid along the flow: finer at both ends (a factor of 5 at b = 0.8).
        x = np.linspace(0, 1, nx + 1)
        if kind == "disc":
            # Even in radius when full, mildly finer at both ends.
            b = 0.5
            x = (1 - b) * x + b * x * x * (3 - 2 * x)
            r = shape["r_in"] + x * self.L
            x = (r**2 - shape["r_in"] ** 2) / (shape["r_out"] ** 2 - shape["r_in"] ** 2)
        else:
            b = 0.8
            x = (1 - b) * x + b * x * x * (3 - 2 * x)
        self.x, self.xc, self.dx = x, 0.5 * (x[1:] + x[:-1]), np.diff(x)
        self._upwind_matrices()

    def _upwind_matrices(self):
        """P+ and P-: face values from [inlet, cells, outlet], for either sign of the flow."""
        nx, x, xc = self.nx, self.x, self.xc
        xe = np.concatenate([[0.0], xc, [1.0]])
        hl, hr = xe[1:-1] - xe[:-2], xe[2:] - xe[1:-1]
        self.hl, self.hr = hl, hr
        slope = np.zeros((nx, nx + 2))                  # derivative of the parabola
        i = np.arange(nx)
        slope[i, i] = -hr / (hl * (hl + hr))
        slope[i, i + 2] = hl / (hr * (hl + hr))
        slope[i, i + 1] = -(slope[i, i] + slope[i, i + 2])
        cell = np.zeros((nx, nx + 2))
        cell[i, i + 1] = 1
        pp, pm = np.zeros((nx + 1, nx + 2)), np.zeros((nx + 1, nx + 2))
        pp[1:] = cell + (x[1:] - xc)[:, None] * slope
        pm[:-1] = cell + (x[:-1] - xc)[:, None] * slope
        for m in (pp, pm):                              # the ends are the given values
            m[0], m[-1] = 0, 0
            m[0, 0], m[-1, -1] = 1, 1
        self.pp, self.pm = pp, pm
        self.out_w = (1 - xc[-1]) / (xc[-1] - xc[-2])   # extrapolation to xi = 1
        self.in_w = xc[0] / (xc[1] - xc[0])             # and to xi = 0
        self.fx = (x[1:-1] - xc[:-1]) / (xc[1:] - xc[:-1])

    def stations(self, filled):
        """Faces s, centres s and the width factor W at the centres (and at the inlet)."""
        kind = self.shape["kind"]
        v = self.x * filled
        if kind == "disc":
            s = np.sqrt(self.shape["r_in"] ** 2 + v / (math.pi * self.shape["h"]))
            c = 0.5 * (s[1:] + s[:-1])
            return s, c, 4 * math.pi * c, 4 * math.pi * s[0]
        s = v / self.area
        c = 0.5 * (s[1:] + s[:-1])
        w = math.pi if kind == "tube" else 2 * self.shape["w"]
        return s, c, np.full(self.nx, w), w


# --------------------------------------------------------------------------
# The filling problem.
# --------------------------------------------------------------------------

class Fill:
    """Semi-discrete equations for passages 0..p, the last of which is filling.

    The state is theta = T - Tw of every cell of these passages, followed by the
    heat lost and the work done so far, both divided by rho cp V_total (kelvin).
    """

    def __init__(self, case, nx, ny, viscous=True, limited=False):
        self.c = case
        self.fluid = case["fluid"]
        self.parts = [Passage(s, max(6, round(nx * s.get("cells", 1.0))), ny) for s in case["passages"]]
        self.v_total = sum(p.volume for p in self.parts)
        self.q = self.v_total / case["t_fill"]
        self.rho_cp = case["rho"] * case["cp"]
        self.ny = ny
        self.viscous, self.limited = viscous, limited
        self.guess = {}
        self.evaluations = 0

    # ---- flow across the gap ------------------------------------------------

    def profile(self, part, temp, width, key):
        """G, shear rates and flow fractions of columns `temp` (columns x layers)."""
        c = self.c
        with np.errstate(under="ignore", divide="ignore"):
            below = np.minimum(temp - c["t_noflow"], 0.0) / c["noflow_width"]
            mob = np.exp(self.fluid.ln_mobility(temp) - below**2)
            weight = mob * part.base * width[:, None]
            ln_g = self.guess.get(key)
            if ln_g is None or ln_g.shape[0] != temp.shape[0]:
                ln_g = np.full(temp.shape[0], math.log(1e8))
            for _ in range(60):
                ln_tau = ln_g[:, None] + part.ln_lever
                flow = weight * np.exp(self.fluid.ln_rate(ln_tau))
                total = flow.sum(axis=1)
                slope = (flow * self.fluid.d_ln_rate(ln_tau)).sum(axis=1) / total
                step = np.clip((math.log(self.q) - np.log(total)) / slope, -3, 3)
                ln_g = ln_g + step
                if np.max(np.abs(step)) < 1e-7:      # quadratic: the next would be 1e-14
                    break
            else:
                raise RuntimeError("no pressure gradient found")
            self.guess[key] = ln_g
            # One more explicit evaluation at the final G.
            rate = mob * np.exp(self.fluid.ln_rate(ln_g[:, None] + part.ln_lever))
        share = rate * part.base * width[:, None]
        share /= share.sum(axis=1, keepdims=True)      # of the dissipation G Q
        # Velocity is linear within a layer, zero at the wall.
        du = rate * part.dy
        u_hi = np.cumsum(du[:, ::-1], axis=1)[:, ::-1] - du
        phi = u_hi * part.cell + rate * part.tri
        phi /= phi.sum(axis=1, keepdims=True)
        return np.exp(ln_g), rate, share, phi

    # ---- assembly -----------------------------------------------------------

    def fields(self, theta_all, filled):
        """Everything the balances need, passage by passage.  `filled`: volume per passage."""
        out, k, upstream = [], 0, None
        tw, tm = self.c["t_wall"], self.c["t_melt"]
        last = len(filled) - 1
        for p, v in enumerate(filled):
            part = self.parts[p]
            n = part.nx * part.ny
            th = theta_all[k:k + n].reshape(part.nx, part.ny)
            k += n
            s, sc, width, w0 = part.stations(v)
            g, rate, share, phi = self.profile(part, th + tw, width, (p, "cells"))
            face = np.empty((part.nx + 1, part.ny))
            face[1:-1] = phi[:-1] + part.fx[:, None] * (phi[1:] - phi[:-1])
            face[-1] = phi[-1] + part.out_w * (phi[-1] - phi[-2])
            remap = None
            if p == 0:
                inlet = np.full(part.ny, tm - tw)
                face[0] = self.profile(part, (inlet + tw)[None, :], np.array([w0]), (p, "in"))[3][0]
            else:
                face[0] = np.maximum(phi[0] + part.in_w * (phi[0] - phi[1]), 0)
                face[0] /= face[0].sum()
                remap = rebin(upstream["face"][-1], face[0])
                inlet = remap @ upstream["ends"]
            filling = p == last
            vdot = self.q if filling else 0.0
            rel = self.q * face - vdot * part.x[:, None] * part.zeta
            across = self.q * np.cumsum(face[:-1] - face[1:], axis=1)[:, :-1]
            ends = th[-1] + part.out_w * (th[-1] - th[-2])
            front, wt = None, None
            if filling:
                gain = np.maximum(rel[-1], 0)
                wt = gain / gain.sum()
                front = wt @ ends
                ends = np.where(rel[-1] > 0, ends, front)
            upstream = dict(part=part, th=th, v=v, vdot=vdot, s=s, sc=sc, g=g, rate=rate, share=share,
                            phi=phi, face=face, inlet=inlet, remap=remap, rel=rel, across=across,
                            ends=ends, front=front, wt=wt)
            out.append(upstream)
        return out

    def wall_conductance(self, part):
        return part.wall_per_volume / (1 / self.c["h_contact"] + part.wall_gap / self.c["k"])

    def rhs(self, t, state, split):
        """Time derivative; `split` gives the filled volumes at time t."""
        self.evaluations += 1
        rates, lost, work = [], 0.0, 0.0
        k = self.c["k"]
        for f in self.fields(state[:-2], split(t)):
            part, th, v = f["part"], f["th"], f["v"]
            ext = np.vstack([f["inlet"], th, f["ends"]])
            tface = np.where(f["rel"] > 0, *self.face_values(part, ext))
            flux = f["rel"] * tface
            net = flux[:-1] - flux[1:]
            ty = th[:, :-1] + part.wy * (th[:, 1:] - th[:, :-1])
            trans = f["across"] * ty
            net[:, :-1] -= trans
            net[:, 1:] += trans
            net -= f["vdot"] * part.dx[:, None] * part.zeta * th
            column = v * part.dx
            heat = k * part.g_cond * (th[:, 1:] - th[:, :-1])
            src = np.zeros_like(th)
            src[:, :-1] += heat
            src[:, 1:] -= heat
            wall = self.wall_conductance(part) * th[:, -1]
            src[:, -1] -= wall
            src *= column[:, None]
            power = f["g"] * self.q * np.diff(f["s"])
            if self.viscous:
                src += power[:, None] * f["share"]
                work += power.sum()
            lost += wall @ column
            rates.append(((net + src / self.rho_cp) / (column[:, None] * part.zeta)).ravel())
        scale = self.rho_cp * self.v_total
        return np.concatenate(rates + [[lost / scale, work / scale]])

    def face_values(self, part, ext):
        if not self.limited:
            return part.pp @ ext, part.pm @ ext
        # van Leer's harmonic slope: a second scheme, to judge the first.
        a = (ext[1:-1] - ext[:-2]) / part.hl[:, None]
        b = (ext[2:] - ext[1:-1]) / part.hr[:, None]
        ab = a * b
        s = np.where(ab > 0, 2 * ab / np.where(ab > 0, a + b, 1.0), 0.0)
        plus, minus = np.empty((part.nx + 1, part.ny)), np.empty((part.nx + 1, part.ny))
        plus[1:] = ext[1:-1] + (part.x[1:] - part.xc)[:, None] * s
        minus[:-1] = ext[1:-1] + (part.x[:-1] - part.xc)[:, None] * s
        for m in (plus, minus):
            m[0], m[-1] = ext[0], ext[-1]
        return plus, minus

    def jacobian(self, t, state, split):
        """d rhs/d state with velocities, G and dissipation frozen (sparse)."""
        blocks, prev_ends = [], None
        fs = self.fields(state[:-2], split(t))
        sizes = [f["th"].size for f in fs]
        total, start = sum(sizes), 0
        k, ny = self.c["k"], self.ny
        for f, size in zip(fs, sizes):
            part, nx = f["part"], f["part"].nx
            eye = sp.identity(ny, format="csr")
            pick = sp.eye_array(size, total, k=start, format="csr")
            inlet = sp.csr_array((ny, total)) if f["remap"] is None else sp.csr_array(f["remap"]) @ prev_ends
            extra = pick[-ny:] * (1 + part.out_w) - pick[-2 * ny:-ny] * part.out_w
            if f["front"] is None:
                ends = extra
            else:
                m = np.diag((f["rel"][-1] > 0).astype(float))
                m[f["rel"][-1] <= 0] = f["wt"]
                ends = sp.csr_array(m) @ extra
            prev_ends = ends
            ext = sp.vstack([inlet, pick, ends], format="csr")
            right = f["rel"] > 0
            rel = f["rel"]
            faces = (sp.diags_array((rel * right).ravel()) @ (sp.kron(sp.csr_array(part.pp), eye) @ ext)
                     + sp.diags_array((rel * ~right).ravel()) @ (sp.kron(sp.csr_array(part.pm), eye) @ ext))
            net = faces[:size] - faces[ny:]
            # Across the gap: flow between layers and conduction, a tridiagonal in each column.
            column = (f["v"] * part.dx)[:, None]
            cond = k * part.g_cond / self.rho_cp * column
            low_c = (cond + f["across"] * (1 - part.wy))      # into j+1 from j
            up_c = (cond - f["across"] * part.wy)             # into j from j+1
            diag = -f["vdot"] * part.dx[:, None] * part.zeta * np.ones((nx, ny))
            diag[:, :-1] -= low_c
            diag[:, 1:] -= up_c
            diag[:, -1] -= self.wall_conductance(part) / self.rho_cp * column[:, 0]
            low, up = np.zeros((nx, ny)), np.zeros((nx, ny))
            low[:, :-1], up[:, 1:] = low_c, up_c
            tri = sp.diags_array([low.ravel()[:-1], diag.ravel(), up.ravel()[1:]], offsets=[-1, 0, 1])
            vol = (column * part.zeta).ravel()
            blocks.append(sp.diags_array(1 / vol) @ (net + tri.tocsr() @ pick))
            start += size
        j = sp.vstack(blocks, format="csr")
        return sp.block_diag([j, sp.csr_array((2, 2))], format="csc")

    # ---- running ------------------------------------------------------------

    def run(self, rtol, atol, start=1e-3):
        """Fill from empty to full; returns the outputs."""
        c, tw = self.c, self.c["t_wall"]
        done, state = 0.0, None
        wanted = np.array(c["fractions"]) * self.v_total
        rows, steps = [], 0
        for p, part in enumerate(self.parts):
            v0 = start * part.volume
            if p == 0:
                fresh = np.full(part.nx * part.ny, c["t_melt"] - tw)
                state = np.concatenate([fresh, [0.0, 0.0]])
            else:
                # The first sliver has the mixing temperature of what feeds it.
                f = self.fields(state[:-2], filled)[-1]
                mix = f["face"][-1] @ (f["th"][-1] + f["part"].out_w * (f["th"][-1] - f["th"][-2]))
                state = np.concatenate([state[:-2], np.full(part.nx * part.ny, mix), state[-2:]])
            self.guess.clear()
            full = [q.volume for q in self.parts[:p]]
            split = lambda t, done=done, full=full: full + [self.q * t - done]
            t0, t1 = (done + v0) / self.q, (done + part.volume) / self.q
            inside = (wanted > (done + v0) * (1 + 1e-9)) & (wanted <= (done + part.volume) * (1 + 1e-9))
            times = np.minimum(wanted[inside] / self.q, t1)
            times = times if times.size and times[-1] == t1 else np.append(times, t1)
            sol = solve_ivp(lambda t, z: self.rhs(t, z, split), (t0, t1), state, method="BDF",
                            jac=lambda t, z: self.jacobian(t, z, split), t_eval=times,
                            rtol=rtol, atol=atol, first_step=1e-3 * t0 if p == 0 else 1e-3 * v0 / self.q)
            if not sol.success:
                raise RuntimeError(sol.message)
            steps += sol.nfev
            n_inside = int(inside.sum())
            for t, z in list(zip(sol.t, sol.y.T))[:n_inside]:
                rows.append(self.observe(t, z, split(t)))
            state, filled = sol.y[:, -1], split(t1)
            done += part.volume
        self.nfev = steps
        return self.outputs(rows, state, filled)

    def observe(self, t, z, filled):
        fs = self.fields(z[:-2], filled)
        drops = [float(f["g"] @ np.diff(f["s"])) for f in fs]
        return dict(t=float(t), p=sum(drops), t_front=float(fs[-1]["front"] + self.c["t_wall"]), drops=drops)

    def outputs(self, rows, state, filled):
        c, tw = self.c, self.c["t_wall"]
        out = {f"p_inlet[{f:g}]": r["p"] for f, r in zip(c["fractions"], rows)}
        out |= {f"t_front[{f:g}]": r["t_front"] for f, r in zip(c["fractions"], rows)}
        for i, d in enumerate(rows[-1]["drops"]):
            if len(self.parts) > 1:
                out[f"drop_end[{i}]"] = d
        fs = self.fields(state[:-2], filled)
        stored = 0.0
        for i, f in enumerate(fs):
            part = f["part"]
            mean = f["th"] @ part.zeta
            # Cubic interpolation through the inlet value and the cell means (area means).
            xe, me = part.xc, mean
            if i == 0:
                xe, me = np.append(0.0, xe), np.append(c["t_melt"] - tw, me)
            curve = CubicSpline(xe, me)
            for s in part.shape["stations"]:
                x = s / part.L
                if part.shape["kind"] == "disc":
                    r0, r1 = part.shape["r_in"], part.shape["r_out"]
                    x = ((r0 + s) ** 2 - r0**2) / (r1**2 - r0**2)
                out[f"t_mean_end[{i},{s:g}]"] = float(curve(x)) + tw
            stored += self.rho_cp * part.volume * float(part.dx @ mean)
        scale = self.rho_cp * self.v_total
        brought = scale * (c["t_melt"] - tw)
        out["wall_heat"] = state[-2] * scale
        out["viscous_work"] = state[-1] * scale
        out["stored_end"] = stored
        self.closure = (stored - (brought - out["wall_heat"] + out["viscous_work"])) / brought
        self.profile_end = [
            dict(passage=i, s=s, y=f["part"].yc.tolist(), temperature=prof.tolist())
            for i, f in enumerate(fs) for s, prof in self.profiles(f, tw)
        ]
        out["t_mean_end[all]"] = tw + stored / scale
        out["t_max_end"] = float(max(f["th"].max() for f in fs)) + tw
        return {k: float(v) for k, v in out.items()}

    @staticmethod
    def profiles(f, tw):
        """Temperature across the gap at mid length of a full strip or tube."""
        part = f["part"]
        if part.shape["kind"] == "disc":
            return []
        return [(part.L / 2, CubicSpline(part.xc, f["th"])(0.5) + tw)]


def rebin(phi_up, phi_dn):
    """Matrix carrying T from upstream to downstream layers on the cumulative flow fraction.

    Row j averages the upstream temperature over the part of the flow that enters
    layer j, so sum(phi_dn * T_dn) = sum(phi_up * T_up): enthalpy is conserved.
    """
    up = np.concatenate([[0], np.cumsum(np.maximum(phi_up, 0))])
    dn = np.concatenate([[0], np.cumsum(phi_dn)])
    up, dn = up / up[-1], dn / dn[-1]
    overlap = np.minimum(up[None, 1:], dn[1:, None]) - np.maximum(up[None, :-1], dn[:-1, None])
    overlap = np.maximum(overlap, 0)
    size = overlap.sum(axis=1)
    empty = size < 1e-14                       # no flow: the value is never used
    overlap[empty, -1], size[empty] = 1, 1
    return overlap / size[:, None]


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
RTOL, ATOL, START = 1e-5, 1e-3, 1e-4


def study(name, spec, log):
    """All runs of one case and the table they make."""
    t_begin = time.time()

    def run(nx, ny, rtol=RTOL, atol=ATOL, start=START, viscous=True, limited=False, **change):
        t = time.time()
        fill = Fill(make(spec, **change), nx, ny, viscous=viscous, limited=limited)
        out = fill.run(rtol, atol, start)
        log(f"  {name} {nx}x{ny} {'' if viscous else 'no heating '}{'limited ' if limited else ''}"
            f"p_end {out['p_inlet[1]'] / 1e6:.5f} MPa  {fill.nfev} evaluations  {time.time() - t:.1f} s")
        return out, fill

    levels, fills = zip(*(run(*g) for g in GRIDS))
    mx, my = GRIDS[-2]
    fine_x, _ = run(2 * mx, my)
    fine_y, _ = run(mx, 2 * my)
    tight, _ = run(mx, my, rtol=RTOL / 10, atol=ATOL / 10)
    start, _ = run(mx, my, start=START * 10)
    lim = [run(*g, limited=True)[0] for g in GRIDS[1:3]]
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
            value=value, error=err, unit=unit(key),
            relative_error=err / abs(value) if unit(key) != "K" else None,
            observed_order=None if order is None else round(order, 2),
            grids=[lv[key] for lv in levels],
            change_xi_refined=fine_x[key] - base[key], change_y_refined=fine_y[key] - base[key],
            change_tolerance_tenth=tight[key] - base[key], change_start_tenfold=start[key] - base[key],
            limited_scheme=[o[key] for o in lim])

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
        enthalpy_closure=[dict(nx=g[0], ny=g[1], relative=f.closure) for g, f in zip(GRIDS, fills)],
        sensitivity=dict(
            grid=[mx, my],
            base={k: base[k] for k in ("p_inlet[1]", "t_front[1]", "t_mean_end[all]", "wall_heat")},
            no_viscous_heating=end(viscous=False),
            h_contact_doubled=end(h_contact=2 * spec["h_contact"]),
            noflow_width_3_kelvin=end(noflow_width=3.0),
            t_noflow_plus_10_kelvin=end(t_noflow=spec["t_noflow"] + 10)),
        convergence=dict(grids=[list(g) for g in GRIDS], outputs=table),
        seconds=round(time.time() - t_begin, 1))


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
        settings=dict(method="BDF", rtol=RTOL, atol=ATOL, start_fraction=START, grids=[list(g) for g in GRIDS]),
        checks=dict(
            isothermal_power_law={f"{a}x{b}": isothermal_checks(a, b) for a, b in GRIDS[:3]},
            slab_with_contact={str(b): slab_check(b) for _, b in GRIDS}),
        cases={})
    for name in args.cases:
        result["cases"][name] = study(name, CASES[name], lambda s: print(s, flush=True))
        with open(path, "w", encoding="utf-8") as fh:      # after every case
            json.dump(result, fh, indent=1, allow_nan=False)
            fh.write("\n")
    print(f"wrote fill_mol.json in {time.time() - begin:.0f} s")


if __name__ == "__main__":
    sys.exit(main())
