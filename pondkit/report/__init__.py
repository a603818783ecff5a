"""Tables, pictures, CSV and drawings, made from results. Computes nothing that an entry could hold."""
