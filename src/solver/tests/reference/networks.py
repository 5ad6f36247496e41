#!/usr/bin/env python3
"""Makes `networks.json`: networks of 300 and 3,000 nodes, adjusted by NumPy, SciPy and statsmodels.

    python3 -m pip install numpy scipy statsmodels
    python3 networks.py

The networks are random with a fixed seed, and rounded before anything is computed, so that the file holds
exactly what was adjusted. Each has benchmarks, differences, sums with other coefficients than plus and minus
one, and correlated pairs (two differences that share a node and an error, as the two rows of a marker share its
foot); one observation in a hundred is wrong by 5 to 12 standard deviations.

Values, standard deviations, redundancies and standardized residuals come from the full inverse of the normal
equations. Studentized residuals come from statsmodels: `OLSInfluence` of the whitened observations where an
observation is alone in its group (for 3,000 nodes the external ones from the internal ones, because
statsmodels fits once for each observation left out); for a row of a correlated pair the external one is the t
statistic of one more unknown that shifts that row alone (for 3,000 nodes by the closed form, which the smaller
network confirms). It takes about six minutes, nearly all of them inside statsmodels.
"""

import json
import math
from pathlib import Path

import numpy as np
import scipy
import scipy.sparse as sparse
import statsmodels
import statsmodels.api as sm
from statsmodels.stats.outliers_influence import OLSInfluence

SEED = 1968
DIGITS = 9

# Redundancy below which rounding decides: nothing tests the observation.
UNTESTED = 1e-9


def network(nodes, dice):
    """Groups of rows; a row is (value, [(node, coefficient), ...]), a group ([row, ...], covariance)."""
    truth = dice.normal(0.0, 1.5, nodes)
    alone, pairs = [], []

    def seen(terms, error):
        return round(float(sum(c * truth[n] for n, c in terms) + error), 4)

    def single(terms):
        sd = round(float(dice.uniform(0.01, 0.08)), 3)
        wrong = dice.uniform(5, 12) * dice.choice([-1, 1]) if dice.random() < 0.01 else 0.0
        alone.append(([(seen(terms, sd * (dice.normal() + wrong)), terms)], [[sd * sd]]))

    def other(node):
        """A node some places away; one in fifty is anywhere."""
        while True:
            near = node + int(dice.integers(-15, 16))
            at = int(dice.integers(nodes)) if dice.random() < 0.02 else near
            if at != node and 0 <= at < nodes:
                return at

    for node in range(nodes):
        if node % 8 == 0:
            single([(node, 1.0)])
        else:
            single([(node, 1.0), (max(0, node - int(dice.integers(1, 6))), -1.0)])
        if dice.random() < 0.45:
            single([(node, 1.0), (other(node), -1.0)])
        if dice.random() < 0.08:
            places = {node, other(node), other(node)}
            single([(at, round(float(dice.uniform(-2, 2)), 2)) for at in sorted(places)])
        if dice.random() < 0.1:
            middle, far = other(node), other(node)
            if len({node, middle, far}) == 3:
                a, b = (round(float(dice.uniform(0.01, 0.06)), 3) for _ in range(2))
                shared = round(float(dice.uniform(-0.8, 0.8)) * a * b, 7)
                covariance = [[round(a * a, 6), shared], [shared, round(b * b, 6)]]
                errors = np.linalg.cholesky(covariance) @ dice.normal(size=2)
                rows = [[(middle, 1.0), (node, -1.0)], [(far, 1.0), (middle, -1.0)]]
                pairs.append(([(seen(t, e), t) for t, e in zip(rows, errors)], covariance))
    return alone + pairs


def matrices(nodes, groups):
    """Design A, covariance C, its inverse P and the observations l, sparse."""
    row, column, coefficient, value, blocks = [], [], [], [], []
    for rows, covariance in groups:
        for seen, terms in rows:
            for node, c in terms:
                row.append(len(value)), column.append(node), coefficient.append(c)
            value.append(seen)
        blocks.append(np.array(covariance))
    design = sparse.csr_matrix((coefficient, (row, column)), shape=(len(value), nodes))
    weight = sparse.block_diag([np.linalg.inv(b) for b in blocks], format="csr")
    whitener = sparse.block_diag(
        [np.linalg.inv(np.linalg.cholesky(b)) for b in blocks], format="csr"
    )
    return design, weight, whitener, np.array(value)


def adjusted(design, weight, seen):
    """Least squares by the full inverse of the normal equations."""
    inverse = np.linalg.inv((design.T @ weight @ design).toarray())
    values = inverse @ (design.T @ (weight @ seen))
    residual = design @ values - seen
    weighted = weight @ residual
    slope = weight @ design
    # P Qv P = P - P A Q A' P, its diagonal only.
    tested = weight.diagonal() - np.asarray(slope.multiply(slope @ inverse).sum(axis=1)).ravel()
    redundancy = tested / weight.diagonal()
    is_tested = redundancy > UNTESTED
    return {
        "values": values,
        "sd": np.sqrt(np.diag(inverse)),
        "redundancy": np.where(is_tested, redundancy, 0.0),
        "standardized": weighted / np.sqrt(np.where(is_tested, tested, np.nan)),
        "squares": float(residual @ weighted),
        "freedom": len(seen) - design.shape[1],
    }


def external_of(internal, freedom):
    """Externally from internally studentized residuals (Cook & Weisberg 1982, 2.2.1)."""
    return internal * np.sqrt((freedom - 1) / (freedom - internal**2))


def internal_of(external, freedom):
    return external * np.sqrt(freedom / (freedom - 1 + external**2))


def agree(a, b, what):
    """Holds where both are given: what nothing tests has no standardized residual."""
    worst = float(np.nanmax(np.abs(np.asarray(a) - np.asarray(b))))
    print(f"  {what}: largest difference {worst:.1e}")
    assert worst < 1e-8, what


def studentized(groups, result, design, whitener, seen):
    """Internally and externally studentized residuals (adjusted minus observed, as elsewhere)."""
    alone = sum(len(rows) == 1 for rows, _ in groups)
    freedom, factor = result["freedom"], math.sqrt(result["squares"] / result["freedom"])
    internal = result["standardized"] / factor
    external = external_of(internal, freedom)
    exog, endog = (whitener @ design).toarray(), whitener @ seen
    fit = sm.OLS(endog, exog).fit()
    influence = OLSInfluence(fit)
    agree(fit.params, result["values"], "values")
    agree(fit.bse / math.sqrt(fit.scale), result["sd"], "standard deviations")
    hat = influence.hat_matrix_diag[:alone]
    agree(1.0 - hat, result["redundancy"][:alone], "redundancies")
    untested = np.isnan(internal)
    internal_by_statsmodels = -influence.resid_studentized_internal
    by_statsmodels = np.where(untested, np.nan, internal_by_statsmodels)[:alone]
    agree(by_statsmodels, internal[:alone], "internally studentized residuals")
    internal[:alone] = by_statsmodels
    if design.shape[1] > 1000:
        external[:alone] = external_of(internal[:alone], freedom)
        return internal, external
    external_by_statsmodels = -influence.resid_studentized_external
    by_statsmodels = np.where(untested, np.nan, external_by_statsmodels)[:alone]
    agree(by_statsmodels, external[:alone], "externally studentized residuals")
    external[:alone] = by_statsmodels
    shifted = []
    for row in range(alone, len(seen)):
        shift = whitener[:, [row]].toarray()
        fit = sm.OLS(endog, np.hstack([exog, shift])).fit()
        shifted.append(math.nan if untested[row] else -fit.tvalues[-1])
    agree(shifted, external[alone:], "externally studentized residuals of correlated rows")
    external[alone:] = shifted
    internal[alone:] = internal_of(external[alone:], freedom)
    return internal, external


def rounded(values):
    return [None if math.isnan(v) else float(f"{v:.{DIGITS}g}") for v in values]


def flat(row):
    """value, node, coefficient, node, coefficient, ..."""
    value, terms = row
    whole = lambda c: int(c) if c == int(c) else c
    return [value] + [x for node, c in terms for x in (node, whole(c))]


def record(nodes, dice):
    print(f"{nodes} nodes")
    groups = network(nodes, dice)
    design, weight, whitener, seen = matrices(nodes, groups)
    result = adjusted(design, weight, seen)
    internal, external = studentized(groups, result, design, whitener, seen)
    singles = [(rows[0], c[0][0]) for rows, c in groups if len(rows) == 1]
    pairs = [(rows, c) for rows, c in groups if len(rows) == 2]
    return {
        "nodes": nodes,
        "singles": [[round(math.sqrt(variance), 3)] + flat(row) for row, variance in singles],
        "pairs": [[[c[0][0], c[0][1], c[1][1]], flat(a), flat(b)] for (a, b), c in pairs],
        "degrees_of_freedom": result["freedom"],
        "weighted_squares": result["squares"],
        "values": rounded(result["values"]),
        "sd": rounded(result["sd"]),
        "redundancy": rounded(result["redundancy"]),
        "standardized": rounded(result["standardized"]),
        "studentized_internal": rounded(internal),
        "studentized_external": rounded(external),
    }


def main():
    dice = np.random.default_rng(SEED)
    versions = (np.__version__, scipy.__version__, statsmodels.__version__)
    about = {
        "made_by": "networks.py",
        "software": "NumPy {}, SciPy {}, statsmodels {}".format(*versions),
        "singles": "standard deviation, observed value, then node and coefficient of each term",
        "pairs": "covariance (11, 12, 22), then for both rows observed value and terms",
        "rows": "results by row: all singles, then both rows of each pair; residuals are adjusted - observed",
    }
    networks = [record(nodes, dice) for nodes in (300, 3000)]
    written = json.dumps({**about, "networks": networks}, separators=(",", ":"))
    # One member of a network to a line.
    written = written.replace(',"', ',\n"').replace("[{", "[\n{").replace("},{", "},\n{")
    (Path(__file__).parent / "networks.json").write_text(written + "\n")


if __name__ == "__main__":
    main()
