"""life against lifelines (the Weibull fit) and statsmodels (Kaplan-Meier with Greenwood's error).

What this does not do: lean on a library's optimiser for digits. Those stop at about 1e-6; the maximum
itself is asked too: the likelihood's own gradient, and that no library finds a likelier law.
"""

import math
import warnings

import numpy as np
from lifelines import WeibullFitter
from statsmodels.duration.survfunc import SurvfuncRight


def log_likelihood(shape, scale, ages, retired):
    x = ages / scale
    return float(np.sum(retired * (math.log(shape / scale) + (shape - 1) * np.log(x)) - x**shape))


def pieces(rng):
    shape, scale = rng.uniform(0.7, 5), rng.uniform(30, 300)
    n, cut = rng.randint(4, 400), scale * rng.uniform(0.4, 3)
    ages = [scale * (-math.log(1 - rng.random())) ** (1 / shape) for _ in range(n)]
    ends = [cut * rng.uniform(0.2, 1) for _ in range(n)]
    whole = rng.random() < 0.7  # Firings are counted; fractions must do as well.
    number = lambda age: max(1, math.ceil(age)) if whole else age
    return [
        {"firings": number(min(age, end)), "retired": age <= end} for age, end in zip(ages, ends)
    ]


def check_curve(rows, ages, retired):
    curve = SurvfuncRight(ages, retired)
    kept = [i for i in range(len(curve.surv_times)) if curve.n_events[i] > 0]
    assert [row["firings"] for row in rows] == [curve.surv_times[i] for i in kept]
    for row, i in zip(rows, kept):
        survival, error = curve.surv_prob[i], curve.surv_prob_se[i]
        assert row["at_risk"] == curve.n_risk[i] and row["retired"] == curve.n_events[i]
        assert abs(row["survival"] - survival) < 1e-12
        if row["survival"] > 0:
            wide = math.exp(1.959963984540054 * error / survival)
            pairs = [("standard_error", error), ("low", survival / wide), ("high", min(1, survival * wide))]
            assert all(abs(row[name] - value) < 1e-11 for name, value in pairs), (row, pairs)


def check_law(law, ages, retired):
    ours = log_likelihood(law["shape"], law["scale"], ages, retired)
    assert abs(ours - law["log_likelihood"]) <= 1e-10 * abs(ours)
    # The two equations of the maximum, each of size n.
    x = ages / law["scale"]
    power = x ** law["shape"]
    assert abs(retired.sum() - power.sum()) <= 1e-8 * len(ages)
    gradient = retired.sum() / law["shape"] + np.sum(retired * np.log(x)) - np.sum(power * np.log(x))
    assert abs(gradient) <= 1e-8 * len(ages)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = WeibullFitter().fit(ages, retired)
    assert log_likelihood(fit.rho_, fit.lambda_, ages, retired) <= ours + 1e-9 * abs(ours)
    theirs = {
        "shape": fit.rho_,
        "scale": fit.lambda_,
        "shape_se": fit.summary.loc["rho_", "se(coef)"],
        "scale_se": fit.summary.loc["lambda_", "se(coef)"],
    }
    for name, value in theirs.items():
        assert abs(law[name] / value - 1) < 2e-3, (name, law[name], value)


def check(ask, rng):
    n_laws = 0
    for _ in range(60):
        own, ahead = pieces(rng), rng.randint(0, 60)
        ages = np.array([float(piece["firings"]) for piece in own])
        retired = np.array([int(piece["retired"]) for piece in own])
        answer = ask("life", {"pieces": own, "next_firings": ahead})
        check_curve(answer["kaplan_meier"], ages, retired)
        law = answer["weibull"]
        if len(set(ages[retired == 1])) < 2:
            assert law is None and answer["expected_retirements"] is None and answer["note"]
            continue
        n_laws += 1
        check_law(law, ages, retired)
        outlast = lambda age: np.exp(-((age / law["scale"]) ** law["shape"]))
        serving = ages[retired == 0]
        expected = float(np.sum(1 - outlast(serving + ahead) / outlast(serving)))
        assert abs(answer["expected_retirements"] - expected) <= 1e-9 * max(1, expected)
    return f"{n_laws} Weibull laws, by lifelines and statsmodels"
