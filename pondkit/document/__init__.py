"""The project file as a plain, validated document."""

from pondkit.document.base import Part, get, walk
from pondkit.document.files import load, put, save, schema
from pondkit.document.project import Project
from pondkit.document.refusal import Refused, place

__all__ = ["Part", "Project", "Refused", "get", "load", "place", "put", "save", "schema", "walk"]
