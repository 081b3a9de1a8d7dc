"""Score over the bump travel of the rear axle, in one batch."""

import articulate

wagon = articulate.demo("wagon")
values = [f"{mm} mm" for mm in range(60, 121, 10)]
answer = articulate.sweep(wagon, "rear.travel.bump", values)
print(answer.table())
print("points per 10 mm:", (answer.found.connected[1:] - answer.found.connected[:-1]).round(1))
