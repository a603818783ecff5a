"""How anything is drawn; knows no trade."""
