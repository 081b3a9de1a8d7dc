"""How much rear bump travel reaches 580 points with the bars connected?"""

import articulate

answer = articulate.target(articulate.demo("wagon"), 580.0, {"rear.travel.bump": "70 mm to 120 mm"})
print(answer)
