"""Makes water.csv beside this file: what propane vapour can hold of water, and its frost point once throttled.

    pip install CoolProp==8.0.0
    python tests/reference/water_table.py

Over ice: sublimation pressure of the 2008 IAPWS release; over water and for propane: the reference equations of state
as carried by CoolProp (published). The gas mixes as an ideal gas; free water takes part in no other way.
"""

import csv
import math
from pathlib import Path

import CoolProp.CoolProp as cp

HERE = Path(__file__).resolve().parent
TRIPLE_K, TRIPLE_PA = 273.16, 611.657
MASS_RATIO = cp.PropsSI("M", "Water") / cp.PropsSI("M", "Propane")


def kelvin(fahrenheit):
    return (fahrenheit - 32.0) / 1.8 + 273.15


def water_pa(t):
    if t >= TRIPLE_K:
        return cp.PropsSI("P", "T", t, "Q", 1, "Water")
    theta = t / TRIPLE_K
    terms = ((-21.2144006, 0.00333333333), (27.3203819, 1.20666667), (-6.10598130, 1.70333333))
    return TRIPLE_PA * math.exp(sum(a * theta**b for a, b in terms) / theta)


def dew_k(pa):
    low, high = 200.0, 320.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if water_pa(middle) < pa else (low, middle)
    return low


FIRST = 101325 + 10 * 6894.757
with open(HERE / "water.csv", "w", newline="") as file:
    out = csv.writer(file, lineterminator="\n")
    out.writerow(["t_k", "propane_pa", "water_pa", "held_by_mass", "throttled_k", "frost_point_k"])
    for f in (-20, -10, 0, 20, 32, 40, 60, 80, 100):
        t = kelvin(f)
        p = cp.PropsSI("P", "T", t, "Q", 1, "Propane")
        h = cp.PropsSI("H", "T", t, "Q", 1, "Propane")
        e = water_pa(t)
        down = min(FIRST, p)
        after = cp.PropsSI("T", "H", h, "P", down, "Propane") if p > FIRST else t
        row = [t, p, e, MASS_RATIO * e / p, after, dew_k(e * down / p)]
        out.writerow([f"{x:.7g}" for x in row])
