"""Tables as CSV with a source in each row; ``tables`` reads them."""
