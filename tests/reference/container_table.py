"""Makes container_*.csv beside this file: a container of liquid under vapour, by the reference equations of state.

    pip install CoolProp==8.0.0
    python tests/reference/container_table.py

Nothing here knows the project's laws: inner energy is asked from the equation of state at given volume and mass, and
its slope, or an energy balance of the open container, gives the number. Source: the reference multiparameter equations
of state as carried by CoolProp (published); mixtures by its Helmholtz mixture model.
"""

import csv
from pathlib import Path

import CoolProp.CoolProp as cp

HERE = Path(__file__).resolve().parent
NAMES = ["Propane", "Ethane", "n-Butane", "IsoButane"]


def kelvin(fahrenheit):
    return (fahrenheit - 32.0) / 1.8 + 273.15


def write(name, header, rows):
    with open(HERE / name, "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(header)
        out.writerows([[f"{x:.7g}" for x in row] for row in rows])


def root(f, low, high):
    """Zero of a rising function, by bisection and, near it, by the secant."""
    a, b = f(low), f(high)
    for _ in range(100):
        middle = low - a * (high - low) / (b - a)
        if not low + 0.05 * (high - low) < middle < high - 0.05 * (high - low):
            middle = 0.5 * (low + high)
        m = f(middle)
        if m < 0.0:
            low, a = middle, m
        else:
            high, b = middle, m
        if high - low < 1e-10 * abs(high):
            break
    return 0.5 * (low + high)


propane = cp.AbstractState("HEOS", "Propane")


def saturated(t, quality):
    propane.update(cp.QT_INPUTS, quality, t)
    return propane.rhomass(), propane.hmass()


def density(fill, t):
    return fill * saturated(t, 0)[0] + (1.0 - fill) * saturated(t, 1)[0]


def energy(t, rho):
    """Inner energy of a litre-like unit volume of density rho, J/m3."""
    propane.update(cp.DmassT_INPUTS, rho, t)
    return rho * propane.umass()


# Heat capacity at constant volume and mass, by the slope of the inner energy.
rows = []
for fill in (0.1, 0.2, 0.5, 0.8):
    for f in (-20, 20, 60, 100):
        t, h = kelvin(f), 0.01
        rho = density(fill, t)
        rows.append([fill, t, (energy(t + h, rho) - energy(t - h, rho)) / (2 * h)])
write("container_capacity.csv", ["fill", "t_k", "capacity_j_per_k_m3"], rows)


def drawn(rho, t, per_step, quality, steps, steel=0.0, heat=lambda t: 0.0):
    """Density and temperature after steps of a mass drawn from a unit volume: U' = Q - w h, classical Runge-Kutta."""

    def temperature(rho, u):
        return root(lambda t: energy(t, rho) + steel * t - u, 190.0, 330.0)

    def rate(rho, u):
        t = temperature(rho, u)
        return -per_step, heat(t) - per_step * saturated(t, quality)[1]

    u = energy(t, rho) + steel * t
    for _ in range(steps):
        k1 = rate(rho, u)
        k2 = rate(rho + 0.5 * k1[0], u + 0.5 * k1[1])
        k3 = rate(rho + 0.5 * k2[0], u + 0.5 * k2[1])
        k4 = rate(rho + k3[0], u + k3[1])
        rho += (k1[0] + 2 * k2[0] + 2 * k3[0] + k4[0]) / 6
        u += (k1[1] + 2 * k2[1] + 2 * k3[1] + k4[1]) / 6
    return rho, temperature(rho, u)


# A tenth of the fuel drawn without any heat from outside, as vapour and as liquid, from 60 F.
rows = []
for fill in (0.1, 0.2, 0.5, 0.8):
    t = kelvin(60)
    rho = density(fill, t)
    rows.append([fill, t, *(drawn(rho, t, 0.005 * rho, q, 20)[1] for q in (1, 0))])
write("container_drawn.csv", ["fill", "t_k", "vapour_drawn_k", "liquid_drawn_k"], rows)

# A 20-lb cylinder of 21.6 L with 4000 J/K of steel gives 0.23387 g/s of vapour, takes in 3.5 W/K from air at 20 C.
VOLUME, STEEL, DRAW, EXCHANGE, AIR = 21.6e-3, 4000.0, 2.3387e-4, 3.5, 293.15
rows = []
for fill, times in ((0.12, (600, 1200, 2400)), (0.4, (1800, 3600, 7200)), (0.8, (1800, 3600, 14400))):
    rho, t, at = density(fill, AIR), AIR, 0
    for until in times:
        steps = 20
        step = (until - at) / steps
        rho, t = drawn(rho, t, DRAW * step / VOLUME, 1, steps, STEEL / VOLUME,
                       lambda t: EXCHANGE * (AIR - t) * step / VOLUME)
        rows.append([fill, until, t])
        at = until
write("container_cooling.csv", ["fill", "time_s", "t_k"], rows)


class Mixture:
    def __init__(self, z):
        used = [(n, s) for n, s in zip(NAMES, z) if s > 0]
        self.state = cp.AbstractState("HEOS", "&".join(n for n, _ in used))
        self.state.set_mole_fractions([s for _, s in used])

    def at(self, t, rho):
        """Pressure and inner energy per mol of a two-phase mixture of molar density rho at t."""

        def off(quality):
            self.state.update(cp.QT_INPUTS, quality, t)
            return 1.0 / self.state.rhomolar() - 1.0 / rho

        root(off, 1e-6, 0.9)
        return self.state.p(), self.state.umolar()


# Mixtures in a fixed volume: pressure, heat capacity, and the rise of the pressure, from which Lambda = T dp/dT.
rows = []
for z in ((0.7, 0.0, 0.3, 0.0), (0.945, 0.03, 0.015, 0.01)):
    mixture = Mixture(z)
    for rho in (2000.0, 6000.0):
        for f in (0, 40, 80):
            t, h = kelvin(f), 0.1
            (p0, u0), (p1, u1) = mixture.at(t - h, rho), mixture.at(t + h, rho)
            p = mixture.at(t, rho)[0]
            rows.append([*z, rho, t, p, rho * (u1 - u0) / (2 * h), t * (p1 - p0) / (2 * h)])
write("container_mixture.csv", [f"z_{n.lower()}" for n in NAMES]
      + ["mol_per_m3", "t_k", "pressure_pa", "capacity_j_per_k_m3", "expansion_pa"], rows)
