"""General-purpose solvers on the rates of this program's rig: work against precision.

    peers.py PROGRAM HOURS TABLE PICTURE

PROGRAM is the built bench `work_precision`; it serves the rates of the stretches of a night's first hours. The peers are
SciPy's BDF (variable order 1 to 5, quasi-constant steps, modified Newton) and Radau IIA of order 5. Their own differences fail where a state stands
at zero, so they are given this program's Jacobians, each counted as what it takes with columns that share no row found
together. The reference is Radau at a ten-thousandth of the usual
tolerance. What is counted are evaluations of the rates, those for Jacobians included: time would measure the language.
"""

import math
import struct
import subprocess
import sys

import numpy as np
import scipy
from scipy.integrate import BDF, Radau
from scipy.optimize._numdiff import group_columns

PA_PER_INWC = 249.08891
# Tolerance as a multiple of the program's usual one.
FACTORS = [100.0, 30.0, 10.0, 3.0, 1.0, 0.3, 0.1, 0.03]
REFERENCE = 1e-4
# Evaluations of one stretch after which a peer is said to have given up.
MOST = 60_000


class GaveUp(Exception):
    """A peer that comes forward no more."""


class Program:
    """The program that serves the rates, asked over its standard input and output."""

    def __init__(self, path, hours):
        self.process = subprocess.Popen([path, "serve", hours], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.count = int(self.take(1)[0])

    def take(self, many):
        data = self.process.stdout.read(8 * many)
        if len(data) < 8 * many:
            sys.exit("the program ended early")
        return np.frombuffer(data, "<f8")

    def ask(self, *parts):
        for part in parts:
            self.process.stdin.write(np.asarray(part, "<f8").tobytes())
        self.process.stdin.flush()


class Stretch:
    """What lies between two events, modes fixed."""

    def __init__(self, program, index):
        self.program, self.index, self.calls = program, index, 0
        program.ask([0, index])
        dim, looks, self.t0, self.t1 = program.take(4)
        self.dim, looks = int(dim), int(looks)
        self.y0 = program.take(self.dim)
        self.scales = program.take(self.dim)
        self.looks = program.take(looks)
        self.relative, self.absolute = program.take(2)
        # Row k acts on column i of what is served: rows of the Jacobian are rates.
        acts = program.take(self.dim**2).reshape(self.dim, self.dim).T
        self.columns = int(group_columns(acts).max()) + 1

    def rates(self, t, y):
        columns = y.reshape(self.dim, -1)
        count = columns.shape[1]
        self.calls += count
        if self.calls > MOST:
            raise GaveUp
        block = np.empty((count, self.dim + 1))
        block[:, 0], block[:, 1:] = t, columns.T
        self.program.ask([1, self.index, count], block)
        return self.program.take(count * self.dim).reshape(count, self.dim).T.reshape(y.shape)

    def matrix(self, t, y):
        self.calls += self.columns
        self.program.ask([4, self.index, t], y)
        return self.program.take(self.dim**2).reshape(self.dim, self.dim)

    def outlets(self, times, states):
        block = np.column_stack([times, states])
        self.program.ask([2, self.index, len(times)], block)
        return self.program.take(len(times))

    def ours(self, method, factor):
        self.program.ask([3, self.index, method, factor])
        calls = int(self.program.take(1)[0])
        return self.program.take(len(self.looks)), calls

    def peer(self, method, factor):
        """Outlet at all looks, and evaluations."""
        self.calls = 0
        solver = method(
            self.rates,
            self.t0,
            self.y0,
            self.t1,
            rtol=max(factor * self.relative, 3e-14),
            atol=factor * self.absolute * self.scales,
            jac=self.matrix,
            vectorized=True,
        )
        states = []
        while solver.status == "running":
            told = solver.step()
            if solver.status == "failed":
                sys.exit(f"{method.__name__}, stretch {self.index}: {told}")
            dense = None
            while len(states) < len(self.looks) and self.looks[len(states)] <= solver.t:
                dense = dense or solver.dense_output()
                states.append(dense(self.looks[len(states)]))
        return self.outlets(self.looks, np.array(states)), self.calls


def picture(rows, path):
    """Error over evaluations, both by decades."""
    width, height, left, right, top, low = 720, 440, 70, 180, 24, 56
    work = [r[2] for r in rows]
    error = [max(r[3], 1e-9) for r in rows]
    x0, x1 = math.log10(min(work)) - 0.05, math.log10(max(work)) + 0.05
    y0, y1 = math.floor(math.log10(min(error))), math.ceil(math.log10(max(error)))
    x = lambda w: left + (math.log10(w) - x0) / (x1 - x0) * (width - left - right)
    y = lambda e: top + (y1 - math.log10(max(e, 1e-9))) / (y1 - y0) * (height - top - low)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" font-family="sans-serif" font-size="13">',
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>',
    ]
    for decade in range(y0, y1 + 1):
        at = y(10.0**decade)
        out.append(f'<path d="M{left} {at:.1f}H{width - right}" stroke="#d5dadd"/>')
        label = f"{10.0**decade:g}"
        out.append(f'<text x="{left - 8}" y="{at + 4:.1f}" text-anchor="end" fill="#33414a">{label}</text>')
    for power in range(math.floor(x0), math.ceil(x1) + 1):
        for lead in (1, 2, 5):
            value = lead * 10.0**power
            if x0 <= math.log10(value) <= x1:
                at = x(value)
                out.append(f'<path d="M{at:.1f} {top}V{height - low}" stroke="#e6eaec"/>')
                label = f"{value:,.0f}"
                out.append(f'<text x="{at:.1f}" y="{height - low + 18}" text-anchor="middle" fill="#33414a">{label}</text>')
    limit = y(0.01)
    out.append(f'<path d="M{left} {limit:.1f}H{width - right}" stroke="#8a5a00" stroke-dasharray="6 4"/>')
    out.append(f'<text x="{width - right + 8}" y="{limit + 4:.1f}" fill="#8a5a00">0.01 in w.c. asked</text>')
    styles = {"ours, stiff": ("#0b6e8f", ""), "BDF": ("#a5392f", "7 4"), "Radau IIA": ("#5b4a9c", "2 3")}
    for name, (colour, dash) in styles.items():
        line = sorted((r for r in rows if r[0] == name), key=lambda r: -r[1])
        points = " ".join(f"{x(r[2]):.1f},{y(r[3]):.1f}" for r in line)
        out.append(f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>')
        for r in line:
            big = 5 if r[1] == 1.0 else 2.5
            out.append(f'<circle cx="{x(r[2]):.1f}" cy="{y(r[3]):.1f}" r="{big}" fill="{colour}"/>')
        third = line[len(line) // 3]
        out.append(f'<text x="{x(third[2]) + 10:.1f}" y="{y(third[3]) - 6:.1f}" fill="{colour}">{name}</text>')
    out.append(f'<text x="{left}" y="{height - 14}" fill="#33414a">evaluations of the rates; large dot: the usual tolerance</text>')
    out.append(f'<text x="{left}" y="14" fill="#33414a">worst error of the outlet at any look, in w.c.</text>')
    out.append("</svg>")
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n".join(out) + "\n")


def main():
    path, hours, table, drawn = sys.argv[1:]
    program = Program(path, hours)
    all_stretches = [Stretch(program, i) for i in range(program.count)]
    reference = [s.peer(Radau, REFERENCE)[0] for s in all_stretches]
    kinds = {
        "ours, stiff": lambda s, f: s.ours(0, f),
        "BDF": lambda s, f: s.peer(BDF, f),
        "Radau IIA": lambda s, f: s.peer(Radau, f),
    }
    rows = []
    for name, solve in kinds.items():
        for factor in FACTORS:
            work, worst, gave_up = 0, 0.0, 0
            for stretch, true in zip(all_stretches, reference):
                try:
                    found, calls = solve(stretch, factor)
                except GaveUp:
                    gave_up += 1
                    continue
                work += calls
                worst = max(worst, np.abs(found - true).max() / PA_PER_INWC)
            if gave_up:
                print(f"{name:12} {factor:7g} gave up {gave_up} of {len(all_stretches)} stretches", flush=True)
                continue
            rows.append((name, factor, work, worst))
            print(f"{name:12} {factor:7g} {work:9d} {worst:9.2e}", flush=True)
    with open(table, "w", encoding="utf-8") as file:
        span = sum(s.t1 - s.t0 for s in all_stretches)
        file.write(f"# {program.count} stretches, {span:.0f} s of the first {hours} h of the frosty night; SciPy {scipy.__version__}\n")
        file.write("method\ttolerance\tevaluations\tworst_inwc\n")
        for name, factor, work, worst in rows:
            file.write(f"{name}\t{factor:g}\t{work}\t{worst:.2e}\n")
    picture(rows, drawn)


if __name__ == "__main__":
    main()
