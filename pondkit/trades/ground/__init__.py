"""The ground as it is (level, plane, survey or level book), what the dig keeps clear of, and the way in."""
