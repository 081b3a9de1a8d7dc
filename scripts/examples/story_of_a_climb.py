"""What happens on the way up, and which limit decides."""

import articulate

answer = articulate.timeline(articulate.demo("wagon"))
for moment in answer.found.connected.moments:
    print(f"{moment.climb * 1000:6.0f} mm  {moment.what}")
print("decided by the", answer.found.connected.decided)
