"""Published values that slowstats.py and contract.py must give; each line names where the value is printed.

How to run: `python3 recompute.py --self-test`. Prints the number of checks, or the first that fails and stops.
"""
import math
from fractions import Fraction

import contract
import slowstats
from supplies import litres

# Newcombe RG. Stat Med 1998;17:857, Table I, and values on which R 4.2.2 and scipy 1.10 agree.
WILSON = """0,10,0,0.277532799863 1,10,0.0178762130951,0.404150026795 5,10,0.236593090513,0.763406909487
10,10,0.722467200137,1 0,20,0,0.161125158053 1,29,0.00611321429276,0.171755218793
15,148,0.0623863995307,0.160487241723 81,263,0.255288519878,0.366209576983"""
# Garwood 1936; R and scipy.
GARWOOD = """0,0,3.688879454114 1,0.02531780798429,5.571643390939 2,0.242209278544,7.224687667724
3,0.6186721228956,8.767273069742 5,1.623486390118,11.66833207932 10,4.795388696132,18.39035604202
20,12.2165195854,30.88837790267 50,37.11096373746,65.91876666434 100,81.36399125092,121.6267937924
250,219.9679956309,282.9877050423"""
# Binomial sums, R and scipy.
RANKS = """6,1,6,0.96875 7,1,7,0.984375 8,1,8,0.9921875 9,2,8,0.9609375 10,2,9,0.978515625 11,2,10,0.98828125
12,3,10,0.96142578125 13,3,11,0.9775390625 14,3,12,0.987060546875 15,4,12,0.96484375 16,4,13,0.978729248047
17,5,13,0.950958251953 18,5,14,0.969116210938 19,5,15,0.98078918457 20,6,15,0.958610534668
21,6,16,0.97339630127 22,6,17,0.983099460602 23,7,17,0.965310335159 24,7,18,0.977344155312
25,8,18,0.956714749336 26,8,19,0.971040725708 27,8,20,0.980842709541 28,9,20,0.964301861823
29,9,21,0.975880455226 30,10,21,0.957226054743"""
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]  # NIST/SEMATECH e-Handbook 6.3.2.2
PEFR_A = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
PEFR_B = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]


def table(text):
    return [[float(x) for x in line.split(",")] for line in text.split()]


def checks():
    """All checks as (name, got, wanted, relative tolerance)."""
    for x, n, low, high in table(WILSON):
        got = slowstats.wilson(int(x), int(n))
        yield f"wilson {x}/{n} low", got[0], low, 1e-11
        yield f"wilson {x}/{n} high", got[1], high, 1e-11
    for count, low, high in table(GARWOOD):
        got = slowstats.garwood(int(count))
        yield f"garwood {count} low", got[0], low, 1e-11
        yield f"garwood {count} high", got[1], high, 1e-11
    for n, lower, upper, coverage in table(RANKS):
        got = slowstats.median_ranks(int(n))
        for name, value, wanted in zip(("lower", "upper", "coverage"), got, (lower, upper, coverage)):
            yield f"median {n} {name}", value, wanted, 1e-11
    yield from quantile_checks()
    yield from t_checks()
    yield from gas_and_unit_checks()


def quantile_checks():
    """Hyndman-Fan type 7, R."""
    sets = {"ten": (range(1, 11), (1.45, 1.9, 3.25, 5.5, 7.75, 9.1, 9.55)),
            "seven": ([6, 47, 49, 15, 42, 41, 7], (6.3, 6.6, 11, 41, 44.5, 47.8, 48.4)),
            "flow": (FLOW, (47.69, 47.78, 49.675, 51.25, 52.325, 52.7, 53.15))}
    for name, (values, wanted) in sets.items():
        for p, want in zip((.05, .1, .25, .5, .75, .9, .95), wanted):
            yield f"quantile {name} {p}", slowstats.quantile(list(values), p), want, 1e-12


def t_checks():
    """Bland and Altman, Lancet 1986;1:307: the t(16) quantile inside the published interval of the limits."""
    differences = [a - b for a, b in zip(PEFR_A, PEFR_B)]
    n, bias = len(differences), slowstats.mean(differences)
    deviation = math.sqrt(sum((d - bias) ** 2 for d in differences) / (n - 1))
    yield "bias", bias, -2.11764705882, 1e-11
    yield "sd", deviation, 38.7651298736, 1e-11
    limit = bias - 1.959964 * deviation
    half = slowstats.t_quantile(0.975, n - 1) * deviation * math.sqrt(1 / n + slowstats.Z ** 2 / (2 * (n - 1)))
    yield "lower limit, low", limit - half, -112.851553139, 1e-6
    for df in (1, 2, 3, 7, 16, 40, 59):
        for t in (0.1, 1.0, 2.5, 12.7):
            yield f"t({df}) at {t}, two ways", slowstats.t_cdf(t, df), slowstats.t_cdf_by_angle(t, df), 1e-12
    yield "z", slowstats.Z, 1.959963984540054, 1e-14
    yield "t(1) quantile is tan(0.475 pi)", slowstats.t_quantile(0.975, 1), math.tan(0.475 * math.pi), 1e-11


def gas_and_unit_checks():
    """Virginia EMS oxygen hand-out 2010 and textbook forms; NIST SP 811 and UCUM essence 2.2."""
    psi = 6.894757293168
    yield "E, 1200 to 200 psi at 4 L/min", (litres("E", 1200 * psi) - litres("E", 200 * psi)) / 4, 70, 1e-12
    yield "D, 2000 to 200 psi at 0.5", (litres("D", 2000 * psi) - litres("D", 200 * psi)) / 0.5, 576, 1e-12
    yield "H, 2200 psi at 8", litres("H", 2200 * psi) / 8, 863.5, 1e-12
    for number, source, target, want in ((1, "psi", "kPa", psi), (1, "[psi]", "cm[H2O]", 70.306958),
                                         (1, "bar", "[psi]", 14.503774), (1, "cm[H2O]", "Pa", 98.0665),
                                         (1, "mm[Hg]", "Pa", 133.322), (1, "[lb_av]", "kg", 0.45359237),
                                         (97.7, "[degF]", "Cel", 36.5), (1, "mmol/L", "mg/dL", 18.016)):
        yield f"{source} to {target}", float(contract.convert(Fraction(str(number)), source, target)), want, 1e-7


def run():
    """Runs every check; raises on the first that fails."""
    count = 0
    for name, got, want, tolerance in checks():
        if abs(got - want) > tolerance * max(1.0, abs(want)):
            raise SystemExit(f"self-test: {name}: got {got!r}, expected {want!r}")
        count += 1
    print(f"self-test: {count} checks hold")
