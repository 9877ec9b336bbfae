"""An independent six-degree-of-freedom flight simulation as the truth from outside, and what makes recordings of it.

`simulation` steps a bundled piston single in moving air, `autopilot` holds speed and bank, `flight` flies and writes
down, `recorder` is the box on board with its errors, `glides` the test flights, `lesson` a whole exercise.
"""
