"""Constants with their origin, SI."""

GRAVITY = 9.80665  # m/s², exact by definition (3rd CGPM, 1901)
