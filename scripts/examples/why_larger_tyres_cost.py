"""Why the wagon on larger tyres scores less: points that add up."""

import articulate

answer = articulate.explain(articulate.demo("wagon"), articulate.demo("wagon_larger_tyres"))
split = answer.found.connected
print(f"{split.first:.0f} to {split.second:.0f}")
for share in sorted(split.shares, key=lambda one: one.points):
    print(f"{share.points:+7.1f}  {share.group}")
