"""Statistics in slow and obvious code, for checking faster code against.

What: Wilson, Garwood, order-statistic ranks, type 7 quantiles, t and normal quantiles by bisection on own tails, the
ratio of sums clustered by transport, the geometric mean with its t interval. Plain floats in, plain floats out; an
interval that cannot be given is (None, None).
How to run: `python3 recompute.py --self-test` checks it against published values.
"""
import math


def bisect(rising, low, high):
    """The point where the rising function passes zero, to the last digit of a float."""
    for _ in range(400):
        middle = (low + high) / 2
        if middle == low or middle == high:
            break
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def normal_quantile(p):
    """Standard normal quantile, by bisection on the error function."""
    return bisect(lambda x: math.erfc(-x / math.sqrt(2)) / 2 - p, -10.0, 10.0)


Z = normal_quantile(0.975)


def wilson(x, n):
    """Wilson's interval of x out of n, no continuity correction, as two shares."""
    if n == 0:
        return None, None
    p = x / n
    middle = p + Z * Z / (2 * n)
    half = Z * math.sqrt(p * (1 - p) / n + Z * Z / (4 * n * n))
    low = 0.0 if x == 0 else (middle - half) / (1 + Z * Z / n)
    high = 1.0 if x == n else (middle + half) / (1 + Z * Z / n)
    return low, high


def poisson_cdf(k, mean):
    """P(X <= k), term by term."""
    if mean == 0:
        return 1.0
    return math.fsum(math.exp(i * math.log(mean) - mean - math.lgamma(i + 1)) for i in range(k + 1))


def garwood(count):
    """Exact 95 % interval of a Poisson count."""
    top = count + 20 * math.sqrt(count + 1) + 20
    high = bisect(lambda m: 0.025 - poisson_cdf(count, m), 0.0, top)
    if count == 0:
        return 0.0, high
    low = bisect(lambda m: (1 - poisson_cdf(count - 1, m)) - 0.025, 0.0, top)
    return low, high


def incomplete_beta(x, a, b):
    """Regularised incomplete beta by its power series, the nearer end taken."""
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - incomplete_beta(1 - x, b, a)
    front = a * math.log(x) + b * math.log1p(-x) - (math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b))
    terms, term, j = [], 1.0 / a, 0
    while term > 1e-18 * (1.0 / a) or j < 5:
        terms.append(term)
        # I_x(a,b) = x^a (1-x)^b / B(a,b) * sum of (a+b)_j x^j / (a)_(j+1)
        term *= x * (a + b + j) / (a + 1 + j)
        j += 1
    return math.exp(front) * math.fsum(terms)


def t_cdf(t, df):
    """Student's t distribution function."""
    tail = incomplete_beta(df / (df + t * t), df / 2, 0.5) / 2
    return 1 - tail if t > 0 else tail


def t_cdf_by_angle(t, df):
    """The same by the finite trigonometric sum for whole df, to check the other one."""
    angle, c = math.atan(t / math.sqrt(df)), math.cos(math.atan(t / math.sqrt(df)))
    if df % 2:
        term, total = c, 0.0
        for k in range(1, (df - 1) // 2 + 1):
            total += term
            term *= c * c * (2 * k) / (2 * k + 1)
        area = 2 / math.pi * (angle + math.sin(angle) * total)
    else:
        term, total = 1.0, 0.0
        for k in range(1, df // 2 + 1):
            total += term
            term *= c * c * (2 * k - 1) / (2 * k)
        area = math.sin(angle) * total
    return 0.5 + area / 2


def t_quantile(p, df):
    """Student's t quantile, by bisection."""
    return bisect(lambda t: t_cdf(t, df) - p, 0.0, 1000.0)


def quantile(values, p):
    """Hyndman-Fan type 7."""
    if not values:
        return None
    ordered = sorted(values)
    place = (len(ordered) - 1) * p
    below = math.floor(place)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (place - below) * (ordered[above] - ordered[below])


def median_ranks(n):
    """(lower, upper, coverage): the narrowest symmetric ranks that cover the median with at least 95 %, or None."""
    best = None
    for lower in range(1, n // 2 + 1):
        outside = 2 * sum(math.comb(n, i) for i in range(lower)) / 2 ** n
        if 1 - outside >= 0.95:
            best = (lower, n + 1 - lower, 1 - outside)
    return best


def median_interval(values):
    """Order-statistic interval of the median; needs six values."""
    ranks = median_ranks(len(values))
    if len(values) < 6 or ranks is None:
        return None, None
    ordered = sorted(values)
    return ordered[ranks[0] - 1], ordered[ranks[1] - 1]


def mean(values):
    """Arithmetic mean, or None of nothing."""
    return math.fsum(values) / len(values) if values else None


def clustered_ratio(pairs):
    """(ratio, low, high) of sums over clusters of (x, t), normal on the log scale."""
    m, total = len(pairs), math.fsum(t for _, t in pairs)
    if m == 0 or total == 0:
        return None, None, None
    r = math.fsum(x for x, _ in pairs) / total
    if m < 2:
        return r, None, None
    if r == 0:      # the log scale has no place for it: exact Poisson
        return r, 0.0, garwood(0)[1] / total
    variance = m / (m - 1) * math.fsum((x - r * t) ** 2 for x, t in pairs) / total ** 2
    spread = Z * math.sqrt(variance) / r
    return r, r * math.exp(-spread), r * math.exp(spread)


def geometric(ratios):
    """(geometric mean, low, high) with the t interval of the logs."""
    if not ratios:
        return None, None, None
    logs = [math.log(r) for r in ratios]
    middle, n = mean(logs), len(logs)
    if n < 2:
        return math.exp(middle), None, None
    deviation = math.sqrt(math.fsum((v - middle) ** 2 for v in logs) / (n - 1))
    half = t_quantile(0.975, n - 1) * deviation / math.sqrt(n)
    return math.exp(middle), math.exp(middle - half), math.exp(middle + half)
