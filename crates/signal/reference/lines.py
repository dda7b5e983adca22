"""Least-squares lines from scipy, numpy and statsmodels, for tests/line_fit.rs."""

import numpy as np
import statsmodels.api as sm
from scipy import stats

from table import Table


def make(folder):
    out = Table(folder / "lines.txt", "lines.py", ["numpy", "scipy", "statsmodels"])
    rng = np.random.default_rng(7)
    x = np.sort(rng.uniform(0, 30, 41))
    y = 0.25 - 3.5 * x + rng.normal(0, 0.8, 41)
    out.put("plain.x", x)
    out.put("plain.y", y)
    fit = stats.linregress(x, y)
    out.note("slope, intercept, their standard errors: scipy.stats.linregress")
    out.put("plain.linregress", [fit.slope, fit.intercept, fit.stderr, fit.intercept_stderr])
    w = rng.uniform(0.1, 4, 41)
    w[[3, 17]] = 0
    out.put("weights", w)
    out.note("numpy.polyfit(w=sqrt(weights)): slope, intercept, covariance from residuals, then unscaled")
    keep = w > 0
    coefficients, scaled = np.polyfit(x[keep], y[keep], 1, w=np.sqrt(w[keep]), cov=True)
    _, unscaled = np.polyfit(x[keep], y[keep], 1, w=np.sqrt(w[keep]), cov="unscaled")
    out.put("weighted.polyfit", [*coefficients, *scaled.ravel(), *unscaled.ravel()])
    parity = np.where(np.arange(41) % 2 == 0, 1.0, -1.0)
    y2 = y + 0.6 * parity
    out.put("parity.y", y2)
    design = np.column_stack([np.ones(41), x, parity])
    fit = sm.WLS(y2[keep], design[keep], weights=w[keep]).fit()
    out.note("statsmodels WLS of 1, x, parity: coefficients, standard errors, covariance, residual variance")
    out.put("parity.wls", [*fit.params, *fit.bse, *fit.cov_params().ravel(), fit.scale])
    out.note("Student t over normal quantile at one standard deviation: scipy.stats.t.ppf(norm.cdf(1), dof)")
    dof = np.array([1, 2, 3, 5, 10, 50, 1000])
    out.put("widening.dof", dof)
    out.put("widening.factor", stats.t.ppf(stats.norm.cdf(1), dof))
    out.close()
