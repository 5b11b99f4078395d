"""The rates of a fleet report beside scipy: the invented shop is stored, its report read as JSON,
and every rate and interval worked out again from the counts and hours it gives.

The global empirical Bayes estimator is that of Marshall (Applied Statistics 40, 1991), written out
with numpy as general libraries of spatial statistics have it; its interval is a gamma quantile.
"""

import json
import math

import numpy as np
from scipy import stats

AS_OF = "2026-09-01"
TAIL = 0.05


def compare_fleet(program):
    """Numbers compared, and the differences found."""
    program.run("demo")
    done = program.run("report", "fleet", "--as-of", AS_OF, "--output", "json")
    if done.returncode != 0:
        return 0, [done.stderr.strip()]
    report = json.loads(done.stdout)
    compared, differences = 0, []
    for what, got, wanted in [*exact_rates(report), *shrunk_rates(report)]:
        compared += 1
        if not math.isclose(got, wanted, rel_tol=1e-6, abs_tol=1e-9):
            differences.append(f"{what}: got {got}, wanted {wanted}")
    return compared, differences


def ends(rate):
    """Zero is left out of the canonical mapping."""
    return [rate.get(name, 0.0) for name in ("rate", "low", "high")]


def exact_rates(report):
    """Garwood's interval of every cause."""
    for row in report.get("causes", []):
        count, hours = row.get("count", 0), row.get("exposureH", 0.0)
        if count == 0 or hours == 0:
            continue
        rate, low, high = ends(row["ratePer100H"])
        yield row["cause"], rate, 100 * count / hours
        yield row["cause"], low, 100 * stats.chi2.ppf(TAIL, 2 * count) / 2 / hours
        yield row["cause"], high, 100 * stats.chi2.ppf(1 - TAIL, 2 * count + 2) / 2 / hours


def shrunk_rates(report):
    """Every unit of a kind of equipment lends its hours, those that never had the fault too."""
    hours_of = {row["machine"]: row.get("hoursH", 0.0) for row in report["costs"]}
    kind_of = {row["unit"]: row.get("equipment") for row in report["units"]}
    exposure = {unit: hours_of[unit.rsplit("/units/", 1)[0]] for unit in kind_of}
    for cause in report.get("causes", []):
        found = [
            row
            for row in report.get("returning", [])
            if row["cause"] == cause["cause"] and kind_of[row["unit"]] == cause["equipment"]
        ]
        alike = [u for u in kind_of if kind_of[u] == cause["equipment"] and exposure[u] > 0]
        counts = {row["unit"]: row["count"] for row in found}
        y = np.array([counts.get(unit, 0) for unit in alike], dtype=float)
        h = np.array([exposure[unit] for unit in alike])
        mean = y.sum() / h.sum()
        variance = (h * (y / h - mean) ** 2).sum() / h.sum() - mean / h.mean()
        if variance <= 0 or y.sum() != cause.get("count", 0):
            continue
        prior_h = mean / variance
        for row in found:
            shape = mean * prior_h + row["count"]
            scale = 100 / (prior_h + exposure[row["unit"]])
            what = f"{row['cause']} on {row['unit']}"
            rate, low, high = ends(row["believedPer100H"])
            yield what, rate, shape * scale
            yield what, low, stats.gamma.ppf(TAIL, shape, scale=scale)
            yield what, high, stats.gamma.ppf(1 - TAIL, shape, scale=scale)
