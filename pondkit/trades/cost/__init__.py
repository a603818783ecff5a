"""A rough price: by the person's own price list where it has the item, else order quantities times the rates."""
