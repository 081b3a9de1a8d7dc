"""Two vehicles and a score from the day, ranked with the chance that one beats the other."""

import articulate

vehicles = [articulate.demo("wagon"), articulate.demo("ladder_frame_pickup")]
answer = articulate.compare(vehicles, {"Last year's wagon": "587 ± 4"}, samples=128)
print(answer)
