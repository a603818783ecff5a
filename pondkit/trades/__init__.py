"""The trades, each read alone from inputs to pictures; a trade imports only from those before it in the order."""
