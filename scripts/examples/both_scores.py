"""Both scores of a vehicle, and what releasing the bar is worth."""

import articulate

wagon = articulate.demo("wagon")
answer = articulate.predict(wagon)
print(answer)
print(f"gain from releasing: {answer.found.gain:+.0f} points")
