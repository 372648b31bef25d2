"""Isotonic regression, the median's interval and the curve beside a law against SciPy.

SciPy 1.10 has no isotonic regression of its own; the same problem is a weighted least-squares fit
of steps that must not be negative, which scipy.optimize.lsq_linear solves by another method (bounded
variable least squares, Stark & Parker 1995). The median's interval is the sign test's: the ranks are
quantiles of scipy.stats.binom. The curve beside a law is the mean of a normal process given its
readings: the conditional distribution of a multivariate normal (any textbook; here the other way
round, from the inverse of the joint covariance of curve and readings), the kinds of pads weighed by
scipy.stats.multivariate_normal.
"""
import subprocess
import sys

try:
    import numpy as np
    from scipy.optimize import lsq_linear
    from scipy.stats import binom, multivariate_normal
except ImportError:
    print('python3-scipy is not installed')
    sys.exit(77)

random = np.random.default_rng(20)
rows = []
for run in range(150):
    n = int(random.integers(1, 31))
    y = np.linspace(0, random.uniform(-2, 4), n) + random.normal(size=n)
    rows.append((y, random.uniform(0.1, 4, n)))
samples = [np.round(random.normal(60, 12, int(n)), 3) for n in random.integers(5, 64, 200)]

question = ''.join('isotonic %d %s\n' % (len(y), ' '.join(f'{a:.17g} {b:.17g}' for a, b in zip(y, w)))
                   for y, w in rows)
question += ''.join('median %d %s\n' % (len(v), ' '.join(map(repr, map(float, v)))) for v in samples)
curves = []
for run in range(60):
    n = int(random.integers(3, 7))
    x = np.sort(random.uniform(-18, 10, n))
    curves.append((x, x + random.uniform(0, 4) * np.sin(x / 7) + random.normal(size=n),
                   float(random.uniform(0.3, 3))))
question += ''.join('bend %d %.17g %s\n' % (len(x), variance, ' '.join(
    f'{a:.17g} {b:.17g}' for a, b in zip(x, y))) for x, y, variance in curves)
answer = subprocess.run([sys.argv[1]], input=question, capture_output=True, text=True, check=True,
                        timeout=60).stdout.splitlines()

worst = 0.0
for (y, w), line in zip(rows, answer):
    n = len(y)
    steps = np.tril(np.ones((n, n)))
    root = np.sqrt(w)
    low = np.r_[-np.inf, np.zeros(n - 1)]
    fit = lsq_linear(root[:, None] * steps, root * y, bounds=(low, np.inf), method='bvls',
                     tol=1e-14, max_iter=10000)
    worst = max(worst, np.abs(steps @ fit.x - np.array(line.split(), float)).max())
print(f'isotonic: {len(rows)} rows, worst difference {worst:.2g}')
assert worst < 1e-7, worst

for v, line in zip(samples, answer[len(rows):]):
    value, low, high = map(float, line.split())
    rank = int(binom.ppf(0.05, len(v), 0.5))  # the smallest k with P(X <= k) >= 0.05
    rank += binom.cdf(rank, len(v), 0.5) == 0.05
    v = np.sort(v)
    assert abs(value - np.median(v)) < 1e-9, (v, value)
    assert (low, high) == (v[rank - 1], v[len(v) - rank]), (len(v), rank, low, high)
    assert 1 - 2 * binom.cdf(rank - 1, len(v), 0.5) >= 0.90
print(f'median: {len(samples)} samples')


def given(kernel, variance, y):
    """Mean and covariance of curve values that were read as Y with errors of VARIANCE: blocks of the
    inverse of the joint covariance of curve and errors' sum."""
    n = len(y)
    small = 1e-9 * np.eye(n)
    joint = np.block([[kernel + small, kernel], [kernel, kernel + variance * np.eye(n)]])
    precision = np.linalg.inv(joint)
    left = np.linalg.inv(precision[:n, :n])
    return -left @ precision[:n, n:] @ y, left


# docs/calibration.md, The level map: dB, reach; a law's SD 0.6; the whole level anywhere.
worst = 0.0
for (x, y, variance), line in zip(curves, answer[len(rows) + len(samples):]):
    n = len(x)
    rest, likely, bends, lefts = y - x, [], [], []
    for db, reach in ((0.7, 12), (2, 12), (6, 12)):
        bend = db**2 * np.exp(-0.5 * ((x[:, None] - x) / reach)**2)
        whole = bend + 0.36 * np.outer(x, x) + 400
        likely.append(multivariate_normal.logpdf(rest, np.zeros(n), whole + variance * np.eye(n)))
        bends.append(given(bend, variance, rest)[0])
        lefts.append(given(whole, variance, rest)[1])
    weight = np.exp(np.array(likely) - max(likely))
    weight /= weight.sum()
    mean = sum(w * b for w, b in zip(weight, bends))
    left = sum(w * (c + np.outer(b - mean, b - mean)) for w, b, c in zip(weight, bends, lefts))
    middle = np.eye(n) - 1 / n
    se = np.sqrt(np.diag(middle @ left @ middle.T))
    pairs = [(i, k) for i in range(n) for k in range(i + 1, n) if x[k] - x[i] >= 5]
    pairs = pairs or [(i, k) for i in range(n) for k in range(i + 1, n)]
    share = np.sqrt(np.mean([(left[i, i] + left[k, k] - 2 * left[i, k]) / (x[k] - x[i])**2
                             for i, k in pairs]))
    told = np.array(line.split(), float)
    worst = max(worst, np.abs(told[:-1:2] - x - mean).max(), np.abs(told[1:-1:2] - se).max(),
                abs(told[-1] - share))
print(f'curve beside a law: {len(curves)} of them, worst difference {worst:.2g}')
assert worst < 1e-4, worst
