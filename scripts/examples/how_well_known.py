"""How well is a score known before the test, and what would narrow it most?"""

import articulate

answer = articulate.band(articulate.demo("crossover_minimal"), points=256)
case = answer.found.cases[0]
print(f"90 % band: {case.score.low:.0f} to {case.score.high:.0f}, median {case.score.median:.0f}")
widest = case.shares.ranked()[0]
print(f"find out first: {' and '.join(case.shares.groups[widest])}, {case.shares.total[widest]:.0%} of the variance")
