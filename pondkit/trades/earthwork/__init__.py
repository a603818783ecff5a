"""Where the soil goes: bank, loose and compacted volumes, topsoil, berm, trucks and machine hours; and what the crew digs by."""
