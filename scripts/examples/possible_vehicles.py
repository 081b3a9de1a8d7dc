"""A thousand vehicles that a brochure allows: which input goes with the score?"""

import numpy as np

import articulate

answer = articulate.sample(articulate.demo("crossover_minimal"), points=256)
score = answer.found.scores["connected"]
fine = np.isfinite(score)
inputs = answer.found.inputs
together = {key: float(np.corrcoef(values[fine], score[fine])[0, 1]) for key, values in inputs.items()}
for key in sorted(together, key=lambda one: -abs(together[one]))[:5]:
    print(f"{together[key]:+.2f}  {key}")
