"""What the animals need, checked against what the design gives them."""

from pondkit.animals.work import AnimalsResult, Mouth, Passages, Water, work_out

__all__ = ["AnimalsResult", "Mouth", "Passages", "Water", "work_out"]
