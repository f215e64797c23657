"""The semi-discrete equations of the reference fill (see fill_mol.py, README.md).

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

All quantities are plain SI.
"""

import math

import numpy as np
import scipy.sparse as sp
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline

from mol_parts import Passage


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
