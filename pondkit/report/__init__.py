"""Plan, section, view, tables, CSV and papers, made from results. No figure of the takeoff is computed here."""
