"""Values of special functions from scipy, for tests/special.rs."""

import numpy as np
from scipy import special, stats

from table import Table


def make(folder):
    out = Table(folder / "special.txt", "special.py", ["numpy", "scipy"])
    x = np.array([0.1, 0.5, 1.0, 2.5, 7.0, 33.3, 250.0, 1e5])
    out.put("ln_gamma.x", x)
    out.put("ln_gamma.y", special.gammaln(x))
    x = np.array([-8.0, -5.0, -2.0, -1.0, -0.1, 0.0, 0.3, 1.0, 1.96, 3.0, 6.0])
    out.put("normal_cdf.x", x)
    out.put("normal_cdf.y", stats.norm.cdf(x))
    p = np.array([1e-12, 1e-6, 0.001, 0.025, 0.1586552539314571, 0.4, 0.5, 0.6, 0.84, 0.975, 0.9999])
    out.put("normal_quantile.p", p)
    out.put("normal_quantile.y", stats.norm.ppf(p))
    dof, t = np.meshgrid([1.0, 2.0, 3.0, 4.5, 10.0, 58.0, 999.0, 1001.0, 2e5, 3e6], [-30.0, -3.0, -1.0, -0.05, 0.0, 0.7, 2.0, 5.0])
    out.put("student_t_cdf.dof", dof)
    out.put("student_t_cdf.t", t)
    out.put("student_t_cdf.y", stats.t.cdf(t, dof))
    dof, p = np.meshgrid([1.0, 2.0, 3.0, 4.5, 10.0, 58.0, 999.0, 1001.0, 2e5, 3e6], [1e-6, 0.005, 0.1586552539314571, 0.3, 0.49, 0.500001, 0.68, 0.84, 0.975, 0.9995])
    out.put("student_t_quantile.dof", dof)
    out.put("student_t_quantile.p", p)
    out.put("student_t_quantile.y", stats.t.ppf(p, dof))
    x = np.array([0.0, 0.1, 1.0, 3.0, 5.653, 8.6, 14.0, 20.0, 90.0])
    out.put("bessel_i0.x", x)
    out.put("bessel_i0.y", special.i0(x))
    n, x = np.meshgrid([0, 1, 2, 3, 5], [0.0, 0.5, 1.0, 2.404825557695773, 5.0, 7.5, 20.0])
    out.put("bessel_j.n", n)
    out.put("bessel_j.x", x)
    out.put("bessel_j.y", special.jv(n, x))
    out.close()
