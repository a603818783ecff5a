"""Stone: boulders and edging, their mass, and what they take of the water."""
