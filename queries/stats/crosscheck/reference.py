"""Reads cases from the file named first ("id;kind;numbers;numbers;…") and
prints "id number number …" as scipy and statsmodels see them. Kinds not
listed are passed over."""
import sys
import warnings

import numpy as np
import statsmodels.api as sm
from scipy import stats
from statsmodels.duration.survfunc import SurvfuncRight, survdiff
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

warnings.filterwarnings("ignore")


def chisq(v):
    m = [[v[0], v[1] - v[0]], [v[2], v[3] - v[2]]]
    a, b = stats.chi2_contingency(m, correction=False), stats.chi2_contingency(m)
    return [a[0], a[1], b[0], b[1]]


def fisher(v):
    return [stats.fisher_exact([[v[0], v[1] - v[0]], [v[2], v[3] - v[2]]])[1]]


def fit(family, y, x, offset, groups=None):
    x = sm.add_constant(x.reshape(len(y), -1), has_constant="add")
    model = sm.GLM(y, x, family=family, offset=offset)
    plain = model.fit(tol=1e-14, maxiter=200)
    plain = model.fit(tol=1e-14, maxiter=200, start_params=plain.params)  # its errors lag one step behind
    if groups is None:
        return [*plain.params, *plain.bse, plain.deviance]
    r = model.fit(tol=1e-14, maxiter=200, start_params=plain.params, cov_type="cluster", cov_kwds={"groups": groups.astype(int)})
    n, k = x.shape  # its correction has a further factor for the terms
    return [*r.params, *(r.bse / np.sqrt((n - 1) / (n - k)))]


def clustered(x, t):
    """The ratio of sums is a Poisson model of the intercept alone."""
    v = fit(sm.families.Poisson(), x, np.empty((len(x), 0)), np.log(t), np.arange(len(x)))
    half = stats.norm.ppf(0.975) * v[1]
    return [np.exp(v[0]), np.exp(v[0] - half), np.exp(v[0] + half)]


def exact_ranks(x, y):
    r = stats.mannwhitneyu(x, y, method="exact")
    return [r.statistic, r.pvalue]


def normal_ranks(x, y):
    r = stats.mannwhitneyu(x, y, method="asymptotic", use_continuity=True)
    return [r.statistic, r.pvalue]


def survival(t, e):
    s = SurvfuncRight(t, e)
    k = s.surv_prob > 0
    return [*s.surv_prob[k], *s.surv_prob_se[k]]


def newcombe(v):
    return list(confint_proportions_2indep(v[0], v[1], v[2], v[3], method="newcomb", compare="diff"))


def levels(a, b):
    p, q = a / a.sum(), b / b.sum()
    d = (p - q)[:-1]
    cov = sum(np.diag(v[:-1]) - np.outer(v[:-1], v[:-1]) for v in (p, q)) / 2
    return [np.sqrt(d @ np.linalg.inv(cov) @ d)]


def katz(v):
    t = sm.stats.Table2x2([[v[0], v[1] - v[0]], [v[2], v[3] - v[2]]])
    return [t.riskratio, *t.riskratio_confint(), t.oddsratio, *t.oddsratio_confint()]


def garwood(v):
    low = 0 if v[0] == 0 else stats.chi2.ppf(0.025, 2 * v[0]) / 2 / v[1]
    return [low, stats.chi2.ppf(0.975, 2 * v[0] + 2) / 2 / v[1]]


KINDS = {
    "moments": lambda v: [np.mean(v), np.std(v, ddof=1)],
    "quantile": lambda v, p: list(np.quantile(v, p)),
    "wilson": lambda v: list(proportion_confint(v[0], v[1], method="wilson")),
    "exact": lambda v: [float(np.nan_to_num(stats.beta.ppf(0.025, v[0], v[1] - v[0] + 1), nan=0)),
                        float(np.nan_to_num(stats.beta.ppf(0.975, v[0] + 1, v[1] - v[0]), nan=1))],
    "poisson": garwood,
    "newcombe": newcombe,
    "fisher": fisher,
    "chisq": chisq,
    "clustered": clustered,
    "rankexact": exact_ranks,
    "ranknormal": normal_ranks,
    "kruskal": lambda *g: list(stats.kruskal(*g)),
    "line": lambda x, y: [*sm.OLS(y, sm.add_constant(x)).fit().params, *sm.OLS(y, sm.add_constant(x)).fit().bse],
    "survival": survival,
    "logrank": lambda t, e, g: list(survdiff(t, e, g)),
    "poissonfit": lambda y, x, o: fit(sm.families.Poisson(), y, x, o),
    "logisticfit": lambda y, x, o: fit(sm.families.Binomial(), y, x, o),
    "clusterfit": lambda y, x, o, g: fit(sm.families.Poisson(), y, x, o, g),
    "clusterlogit": lambda y, x, o, g: fit(sm.families.Binomial(), y, x, o, g),
    "katz": katz,
    "levels": levels,
    "fleet": lambda v: [stats.binom.sf(v[1] - 1, v[0], v[2])],
    "gaps": lambda v: list(stats.geom(1 / (np.mean(v) + 1), loc=-1).ppf([stats.norm.cdf(-3), 0.5, stats.norm.cdf(3)])),
}

for line in open(sys.argv[1], encoding="utf-8"):
    ident, kind, *rest = line.rstrip("\n").split(";")
    if kind in KINDS:
        got = KINDS[kind](*(np.array([float(n) for n in part.split()]) for part in rest))
        print(ident, *(f"{n:.17g}" for n in got))
