"""Makes the reference tables beside this file from the reference equations of state.

    pip install CoolProp==8.0.0
    python tests/reference/propane_table.py

Writes saturation, superheat and mixture tables as CSV in SI. The Rust tests only read the CSV, so
nobody needs Python to run them. Source of every number: the reference multiparameter equations
of state as carried by CoolProp (published).
"""

import csv
from pathlib import Path

import CoolProp.CoolProp as cp

HERE = Path(__file__).resolve().parent
GAS_CONSTANT = 8.314462618
FAHRENHEIT = [-40, 0, 40, 60, 70, 100, 130]


def kelvin(fahrenheit):
    return (fahrenheit - 32.0) / 1.8 + 273.15


def write(name, header, rows):
    with open(HERE / name, "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(header)
        out.writerows([[x if isinstance(x, str) else f"{x:.8g}" for x in row] for row in rows])


def saturation(fluid, temperatures):
    for t in temperatures:
        p = cp.PropsSI("P", "T", t, "Q", 1, fluid)
        liquid = cp.PropsSI("D", "T", t, "Q", 0, fluid)
        vapour = cp.PropsSI("D", "T", t, "Q", 1, fluid)
        latent = cp.PropsSI("H", "T", t, "Q", 1, fluid) - cp.PropsSI("H", "T", t, "Q", 0, fluid)
        z = p * cp.PropsSI("M", fluid) / (vapour * GAS_CONSTANT * t)
        yield [t, p, liquid, vapour, latent, z]


def steps(low, high, step):
    n = int(round((high - low) / step))
    return [low + step * i for i in range(n + 1)]


SATURATION = ["t_k", "pressure_pa", "liquid_kg_per_m3", "vapour_kg_per_m3", "latent_j_per_kg", "z_vapour"]

# Propane from -45 to 60 C, and the round Fahrenheit points of the trade.
points = sorted(steps(228.15, 333.15, 5.0) + [kelvin(f) for f in FAHRENHEIT])
write("propane_saturation.csv", SATURATION, saturation("Propane", points))

# The others over the range that matters in a container; ethane up to 27 C (critical at 32 C).
others = []
for name, fluid, low, high in [
    ("ethane", "Ethane", 223.15, 300.15),
    ("n_butane", "n-Butane", 233.15, 338.15),
    ("isobutane", "IsoButane", 233.15, 338.15),
]:
    for row in saturation(fluid, steps(low, high, 7.0)):
        others.append([name, *row])
write("other_saturation.csv", ["species", *SATURATION], others)

# Superheated propane: compressibility, Joule-Thomson coefficient, viscosity.
rows = []
for t in steps(233.15, 333.15, 20.0):
    p_sat = cp.PropsSI("P", "T", t, "Q", 1, "Propane")
    for share in (0.1, 0.4, 0.7, 0.95):
        p = share * p_sat
        rows.append([
            t, p,
            cp.PropsSI("Z", "T", t, "P", p, "Propane"),
            cp.PropsSI("d(T)/d(P)|H", "T", t, "P", p, "Propane"),
            cp.PropsSI("V", "T", t, "P", p, "Propane"),
        ])
write("propane_superheat.csv", ["t_k", "pressure_pa", "z", "joule_thomson_k_per_pa", "viscosity_pa_s"], rows)

# Isenthalpic throttling of saturated vapour to 10 psig, and on to 11 in w.c. gauge.
rows = []
for f in FAHRENHEIT[1:]:
    t = kelvin(f)
    h = cp.PropsSI("H", "T", t, "Q", 1, "Propane")
    p = cp.PropsSI("P", "T", t, "Q", 1, "Propane")
    first, second = 101325 + 10 * 6894.757, 101325 + 2740.0
    t1 = cp.PropsSI("T", "H", h, "P", first, "Propane")
    t2 = cp.PropsSI("T", "H", h, "P", second, "Propane")
    rows.append([t, p, first, t - t1, second, t1 - t2])
write("propane_throttling.csv", ["t_k", "saturation_pa", "first_pa", "first_chill_k", "second_pa", "second_chill_k"], rows)

# Bubble and dew pressure of real mixtures, with the shares in the other phase.
NAMES = ["Propane", "Ethane", "n-Butane", "IsoButane"]
MIXTURES = [
    (0.90, 0.00, 0.10, 0.00),
    (0.70, 0.00, 0.30, 0.00),
    (0.50, 0.00, 0.50, 0.00),
    (0.30, 0.00, 0.70, 0.00),
    (0.10, 0.00, 0.90, 0.00),
    (0.95, 0.05, 0.00, 0.00),
    (0.70, 0.00, 0.00, 0.30),
    (0.50, 0.00, 0.00, 0.50),
    (0.90, 0.04, 0.03, 0.03),
    (0.945, 0.03, 0.015, 0.01),
]
rows = []
for x in MIXTURES:
    used = [(n, s) for n, s in zip(NAMES, x) if s > 0]
    state = cp.AbstractState("HEOS", "&".join(n for n, _ in used))
    state.set_mole_fractions([s for _, s in used])
    for f in (-20, 0, 40, 70, 100, 120):
        t = kelvin(f)
        state.update(cp.QT_INPUTS, 0, t)
        bubble = state.p()
        y = dict(zip([n for n, _ in used], state.mole_fractions_vapor()))
        state.update(cp.QT_INPUTS, 1, t)
        dew = dict(zip([n for n, _ in used], state.mole_fractions_liquid()))
        rows.append([t, *x, bubble, y["Propane"], state.p(), *(dew.get(n, 0.0) for n in NAMES)])
HEADER = ["t_k", "x_propane", "x_ethane", "x_n_butane", "x_isobutane", "bubble_pa", "y_propane", "dew_pa",
          "dew_x_propane", "dew_x_ethane", "dew_x_n_butane", "dew_x_isobutane"]
write("mixture_bubble.csv", HEADER, rows)
