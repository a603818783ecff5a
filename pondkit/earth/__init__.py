"""Where the soil goes: bank, loose and compacted volumes, topsoil, berm, trucks and machine hours."""

from pondkit.earth.work import EarthResult, work_out

__all__ = ["EarthResult", "work_out"]
