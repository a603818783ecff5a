"""What is cut from lengths that are all alike: pipe from stock lengths, strips of fabric from
rolls; plans with the fewest of them.
"""
