"""After the connected run: where will the released mark be?"""

import articulate

answer = articulate.learn(articulate.demo("wagon"), connected="575 ± 4", points=2048)
released = next(one for one in answer.found.cases if one.case.bars == "released")
before, after = released.before, released.after
print(f"released before: {before.low:.0f} to {before.high:.0f}")
if after is not None:  # None where the file does not explain the reading
    print(f"released after:  {after.low:.0f} to {after.high:.0f}")
