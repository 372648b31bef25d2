"""Isotonic regression and the median's interval against SciPy.

SciPy 1.10 has no isotonic regression of its own; the same problem is a weighted least-squares fit
of steps that must not be negative, which scipy.optimize.lsq_linear solves by another method (bounded
variable least squares, Stark & Parker 1995). The median's interval is the sign test's: the ranks are
quantiles of scipy.stats.binom.
"""
import subprocess
import sys

try:
    import numpy as np
    from scipy.optimize import lsq_linear
    from scipy.stats import binom
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
