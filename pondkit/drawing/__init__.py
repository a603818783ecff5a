"""How pictures, charts, labels and blocks of text are drawn, on the page and on paper; knows no trade."""
