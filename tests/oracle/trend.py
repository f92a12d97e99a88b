"""trend against statsmodels (least squares) and scipy (Theil-Sen, and the crossing as roots of the band).

What this does not do: use Fieller's closed form; the limits are found where the band meets the limit.
"""

import math

import numpy as np
import statsmodels.api as sm
from scipy import stats
from scipy.optimize import brentq


def crossings(x, fit, limit, t):
    """Both firings at which the confidence band of the line holds the limit, found by searching."""
    a, b = fit.params
    s2, mean = fit.mse_resid, x.mean()
    spread = ((x - mean) ** 2).sum()
    gap = lambda u: (a + b * u - limit) ** 2 - t * t * s2 * (1 / len(x) + (u - mean) ** 2 / spread)
    at, ends = (limit - a) / b, []
    for side in (-1, 1):
        step = 1e-3
        while gap(at + side * step) < 0:
            step *= 2
            assert step < 1e15, "no end"
        ends.append(brentq(gap, at, at + side * step, xtol=1e-12, rtol=1e-14))
    return ends


def check(ask, rng):
    told = 0
    for _ in range(150):
        n = rng.randint(3, 60)
        x = sorted(rng.choice([rng.uniform(0, 200), float(rng.randint(0, 200))]) for _ in range(n))
        if len(set(x)) < 2:
            continue
        slope, scatter = rng.uniform(-0.05, 0.02), rng.choice([0.02, 0.2, 1.0])
        y = [152 + slope * at + rng.gauss(0, scatter) for at in x]
        limit, confidence = rng.uniform(145, 153), rng.choice([0.5, 0.9, 0.95, 0.99])
        rows = [{"firing": at, "value_mm": value} for at, value in zip(x, y)]
        answer = ask("trend", {"readings": rows, "limit_mm": limit, "confidence": confidence})
        x, y = np.array(x), np.array(y)
        fit = sm.OLS(y, sm.add_constant(x)).fit()
        low, high = fit.conf_int(1 - confidence)[1]
        pairs = [
            ("slope_mm_per_firing", fit.params[1]),
            ("intercept_mm", fit.params[0]),
            ("residual_sd_mm", math.sqrt(fit.mse_resid)),
            ("slope_low", low),
            ("slope_high", high),
            ("theil_sen_slope", stats.theilslopes(y, x)[0]),
            ("crosses_at_firing", (limit - fit.params[0]) / fit.params[1]),
        ]
        for name, value in pairs:
            assert abs(answer[name] - value) <= 1e-7 * max(1e-3, abs(value)), (name, answer[name], value)
        if low > 0 or high < 0:
            told += 1
            t = stats.t.ppf((1 + confidence) / 2, n - 2)
            ends = crossings(x, fit, limit, t)
            for name, value in zip(["crosses_low", "crosses_high"], ends):
                assert abs(answer[name] - value) <= 1e-5 * max(1, abs(value)), (name, answer[name], value)
        else:
            assert answer["crosses_low"] is None and answer["crosses_high"] is None and answer["note"]
    return f"{told} crossings told, by statsmodels and scipy"
