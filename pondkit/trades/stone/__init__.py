"""Stone: boulders and edging, their mass, what they take of the water, the ground under them, their slings.

Read ``inputs`` first, then ``formulas`` (one relation a function, with its source), ``boulders`` (figures of one kind
of boulder or row of edging), ``compute`` (all of them together), ``bearing`` (the ground under them, and how they lie
on it), ``slings``, ``cautions``, ``results``, ``pictures``; ``new_parts`` draws a new boulder or row.

Choices:
- A boulder with a place displaces by the depth where it stands, on its longest and middle axis; the entered share is
  for the others.
- A block takes a rectangle of the water surface, other forms an ellipse; the longest side lies eastward as no turn is
  entered.
- Lifting and bearing take the high mass; what is from memory has a range, and a limit is held at its unsafe end.
"""
