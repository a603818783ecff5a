"""The project file as a plain, validated document."""

from pondkit.document.base import Part, get, walk
from pondkit.document.files import Refused, load, place, put, save, schema
from pondkit.document.project import Project

__all__ = ["Part", "Project", "Refused", "get", "load", "place", "put", "save", "schema", "walk"]
