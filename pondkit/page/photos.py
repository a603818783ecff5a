"""Photos of the site in the job: taken in small, without place and time unless these are wanted."""

import html
import io
from typing import Any

import streamlit as st
from PIL import ExifTags, Image

from pondkit.core.refusal import Refused, writable
from pondkit.page.backdrop import TYPES, as_jpeg
from pondkit.page.state import Desk, guarded, widget
from pondkit.project.files import put
from pondkit.project.job import MOST_LETTERS, MOST_PHOTOS
from pondkit.project.project import Project

PHOTOS = ("site", "job", "photos")
PHOTO = "photo"  # where what is refused of one is kept
LONGEST = 720  # px of a photo as it is kept


def photos(desk: Desk) -> None:
    """What is kept, and a chooser for more."""
    held = desk.project.site.job.photos
    turn = desk.history.revision
    for number, photo in enumerate(held):
        st.image(f"data:image/jpeg;base64,{photo.data}", width=160, caption=photo.name)
        st.button(f"Remove photo {number + 1}", key=f"photo {number} {turn}", on_click=guarded(_drop, desk, number))
    if len(held) < MOST_PHOTOS:
        wanted = st.checkbox("Keep its time and place", key="photo taken")
        st.file_uploader(
            "Photo of the site",
            type=TYPES,
            key=f"photo {turn}",
            max_upload_size=100,  # what is too large is refused in our own words
            on_change=guarded(lambda: _take(desk, widget(f"photo {turn}"), wanted)),
        )
        say_refused(desk, PHOTO)


def say_refused(desk: Desk, key: str) -> None:
    """Why the file that was given last for a picture was not taken, beside its chooser; nothing where it was."""
    if key in desk.refused:
        _, reason = desk.refused[key]
        st.html(f"<div class='pk-problem' role='alert'>{html.escape(writable(reason))}</div>")


def _drop(desk: Desk, number: int) -> None:
    held = desk.project.site.job.photos
    desk.edit(lambda: put(desk.project, PHOTOS, tuple(one for at, one in enumerate(held) if at != number)))


def _take(desk: Desk, given: Any, wanted: bool) -> None:
    if given is not None:
        desk.edit(
            lambda: with_photo(desk.project, given.name, given.getvalue(), wanted=wanted), key=PHOTO, text=given.name
        )


def with_photo(project: Project, name: str, file: bytes, *, wanted: bool) -> Project:
    """The project with one photo more; its place and time as words only where they are wanted.

    Raises: Refused as ``as_jpeg``, and where the job has as many as it may hold.
    """
    held = project.site.job.photos
    if len(held) >= MOST_PHOTOS:
        raise Refused(f"The job holds {MOST_PHOTOS} photos; remove one before you add {name}.")
    data = as_jpeg(name, file, LONGEST, MOST_LETTERS)  # drawn anew: nothing of the file but its picture is left
    photo = {"name": name.strip()[:120], "taken": _taken(file) if wanted else "", "data": data}
    return put(project, PHOTOS, (*held, photo))


def _taken(file: bytes) -> str:
    """When and where a photo says it was taken; "" where it does not."""
    with Image.open(io.BytesIO(file)) as image:
        about = image.getexif()
    times = about.get_ifd(ExifTags.IFD.Exif)
    when = str(times.get(ExifTags.Base.DateTimeOriginal) or about.get(ExifTags.Base.DateTime) or "")
    place = about.get_ifd(ExifTags.IFD.GPSInfo)
    try:
        north, east = (
            sum(float(part) / 60**step for step, part in enumerate(place[key]))
            for key in (ExifTags.GPS.GPSLatitude, ExifTags.GPS.GPSLongitude)
        )
        where = f"{north:.5f}° {place[ExifTags.GPS.GPSLatitudeRef]}, {east:.5f}° {place[ExifTags.GPS.GPSLongitudeRef]}"
    except (KeyError, TypeError, ValueError, ZeroDivisionError):
        where = ""
    clean = "".join(letter for letter in ", ".join(text for text in (when, where) if text) if letter.isprintable())
    return clean[:120]
