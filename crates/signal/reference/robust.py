"""Robust fits from statsmodels, quantiles from numpy and scipy, for tests/robust.rs."""

import numpy as np
import pandas as pd
import statsmodels.api as sm
from scipy import ndimage, stats

from table import Table


def make(folder):
    out = Table(folder / "robust.txt", "robust.py", ["numpy", "scipy", "statsmodels", "pandas"])
    rng = np.random.default_rng(11)
    values = np.concatenate([rng.normal(3, 2, 40), [50, -80, 3, 3, 3]])
    out.put("values", values)
    p = np.array([0, 0.01, 0.1, 0.25, 0.5, 0.77, 0.95, 1])
    out.put("quantile.p", p)
    out.put("quantile.of_45", np.quantile(values, p))
    out.put("quantile.of_44", np.quantile(values[:44], p))
    out.put("mad", stats.median_abs_deviation(values))
    out.put("mad_sd", stats.median_abs_deviation(values, scale="normal"))
    out.note("trailing windows of 7, at least 1: pandas rolling quantile; centred windows of 5: scipy median_filter")
    out.put("running.q30", pd.Series(values).rolling(7, min_periods=1).quantile(0.3))
    out.put("running.median5", ndimage.median_filter(values, 5)[2:-2])
    weights = rng.uniform(0, 3, 45)
    out.put("weights", weights)
    out.note("numpy.quantile(method='inverted_cdf', weights)")
    out.put("weighted_median", np.quantile(values, 0.5, weights=weights, method="inverted_cdf"))

    n = 60
    x = np.sort(rng.uniform(0, 20, n))
    parity = np.where(np.arange(n) % 2 == 0, 1.0, -1.0)
    y = 1.5 + 0.4 * x + 0.3 * parity + rng.normal(0, 0.2, n)
    y[[4, 20, 21, 40, 55]] += [3, -4, 2.5, 8, 1]
    out.put("fit.x", x)
    out.put("fit.y", y)
    design = np.column_stack([np.ones(n), x, parity])
    kinds = {
        "huber": (sm.robust.norms.HuberT(1.345), "mad"),
        "bisquare": (sm.robust.norms.TukeyBiweight(4.685), "mad"),
        "huber2": (sm.robust.norms.HuberT(1.345), sm.robust.scale.HuberScale(d=2.5, tol=1e-13, maxiter=200)),
    }
    out.note("statsmodels RLM of 1, x, parity, cov H1: coefficients, standard errors, scale, then weights")
    for name, (norm, scale) in kinds.items():
        fit = sm.RLM(y, design, M=norm).fit(scale_est=scale, maxiter=2000, tol=1e-13, conv="coefs", cov="H1")
        out.put(f"fit.{name}", [*fit.params, *fit.bse, fit.scale])
        out.put(f"fit.{name}.weights", fit.weights)
    out.close()
