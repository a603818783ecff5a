"""A rough price: by the person's own price list where it has the item, else order quantities times the rates."""

from pondkit.price.work import Price, work_out

__all__ = ["Price", "work_out"]
