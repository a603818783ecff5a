"""Images that a person brings: photos of the site and the firm's logo, which papers print, and the picture under the
plan.

All are made small enough to be kept in the project (``as_jpeg``). A photo keeps its time and place only if these are
wanted. The picture under the plan is scaled by two marks, moved, turned and removed.
"""

import base64
import html
import io
import math
from typing import Any

import numpy as np
import streamlit as st
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from pondkit.core.refusal import Refused, writable
from pondkit.core.result import Path
from pondkit.core.units import LENGTH, System, UnitError, as_text, read, show
from pondkit.drawing import frame
from pondkit.drawing.to_scale import aspect
from pondkit.geometry.outline import Placed
from pondkit.page.controls import part_controls
from pondkit.page.form import Form
from pondkit.page.state import Desk, guarded, unmarked, widget
from pondkit.project.files import put
from pondkit.project.project import MOST_LETTERS, MOST_PHOTOS, MOST_PICTURE_LETTERS, PlacedPicture, Project
from pondkit.report.plan import extent
from pondkit.study.evaluate import evaluate

PATH: Path = ("picture",)
MOST_BYTES = 20_000_000
MOST_PIXELS = 80_000_000  # more would fill the memory of a small machine
TYPES = ["jpg", "jpeg", "png", "webp", "tif", "tiff"]
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF")
LONGEST_BACKDROP = 1600  # px of the longer side as it is kept
QUALITIES = (80, 65, 50, 35)
DECIMALS = 3  # of its width and middle in the unit of the plan
NEAREST = 0.02  # of the width: marks closer together than this scale badly
Spot = tuple[float, float]


def pictured(project: Project, name: str, file: bytes, across: float, middle: Spot, system: System) -> Project:
    """The project with a file as the picture under its plan, made small enough to be kept and sent.

    Args:
        name: Of the file.
        file: As ``as_jpeg`` reads it.
        across, middle: Width and middle on the site to begin with [m].
    Raises: as ``as_jpeg``.
    """
    picture = {
        "name": (name.strip() or "picture")[:120],
        "data": as_jpeg(name, file, LONGEST_BACKDROP, MOST_PICTURE_LETTERS),
        "at": tuple(_text(value, system) for value in middle),
        "width": _text(across, system),
    }
    return put(project, PATH, picture, system)


def as_jpeg(name: str, file: bytes, longest: int, most: int) -> str:
    """A picture's file as JPEG in base64, made small enough to be kept and sent.

    Args:
        name: Of the file, for messages.
        file: JPEG, PNG, WebP or TIFF, whatever its name ends in. Nothing else is tried: readers of other kinds start
            other programs.
        longest: Of its sides as it is kept [px].
        most: Letters of the text.
    Raises: Refused where the file is too large, or no picture of these kinds.
    """
    if len(file) > MOST_BYTES:
        raise Refused(
            f"{name} holds {len(file) / 1e6:.1f} MB; a picture may hold at most {MOST_BYTES / 1e6:.0f} MB: save "
            f"it smaller, {longest:,} pixels wide is enough."
        )
    try:
        with Image.open(io.BytesIO(file), formats=FORMATS) as given:
            if given.width * given.height > MOST_PIXELS:
                raise Refused(
                    f"{name} has {given.width:,} × {given.height:,} pixels; at most {MOST_PIXELS / 1e6:.0f} "
                    "million are read: save it smaller."
                )
            given.draft("RGB", (longest, longest))  # a large JPEG is read at a fraction of its size
            given.load()
            given.getexif()
            given.info.pop("exif", None)  # its turn is read by now; a damaged rest could not be written anew
            upright = ImageOps.exif_transpose(given)
            upright.thumbnail((longest, longest))
            flat = Image.new("RGB", upright.size, "white")
            clear = upright.convert("RGBA")
            flat.paste(clear, mask=clear.getchannel("A"))
    except Refused:
        raise
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise Refused(
            f"{name} cannot be read as a JPEG, PNG, WebP or TIFF picture; choose one of these that opens elsewhere."
        ) from None
    return _letters(flat, longest, most)


def _letters(flat: Image.Image, longest: int, most: int) -> str:
    for quality in QUALITIES:
        out = io.BytesIO()
        flat.save(out, "JPEG", quality=quality)
        text = base64.b64encode(out.getvalue()).decode()
        if len(text) <= most:
            return text
    flat.thumbnail((longest // 2, longest // 2))
    return _letters(flat, longest // 2, most)


def _text(value: float, system: System) -> str:
    one = frame.magnitude_of(frame.PLAN_UNIT[system])
    return as_text(round(value / one, DECIMALS) * one, LENGTH, frame.PLAN_UNIT[system], system)


def called(picture: PlacedPicture) -> str:
    """A short name for what it shows, the same as long as the server runs: Python keeps a text's hash, so it costs
    nothing."""
    return f"kept:{hash(picture.data) & 0xFFFFFFFFFFFFFFFF:016x}"


def _placed(picture: PlacedPicture) -> Placed:
    return Placed(float(picture.at[0]), float(picture.at[1]), float(picture.turn_deg))


def corners(picture: PlacedPicture) -> tuple[Spot, ...]:
    """Its corners on the site, anticlockwise from its lower left [m]."""
    x, y = picture.width / 2, picture.width * aspect(picture) / 2
    return _spots(_placed(picture).to_site(np.array([[-x, -y], [x, -y], [x, y], [-x, y]])))


def marks(picture: PlacedPicture) -> tuple[Spot, ...]:
    """Its two marks on the site [m]."""
    return _spots(_placed(picture).to_site(np.array(picture.marks) * float(picture.width)))


def turned_by(picture: PlacedPicture) -> Spot:
    """Where its turn is taken hold of [m]."""
    return _spots(_placed(picture).to_site(np.array([[0.45 * picture.width, 0.0]])))[0]


def _spots(places: Any) -> tuple[Spot, ...]:
    return tuple((float(x), float(y)) for x, y in places)


def mark_at(picture: PlacedPicture, to: Spot) -> Spot:
    """A place on the site as a place on the picture, in shares of its width; at its edge where it lies outside."""
    x, y = _placed(picture).to_own(np.array([to]))[0] / float(picture.width)
    half = aspect(picture) / 2
    return round(float(np.clip(x, -0.5, 0.5)), 5), round(float(np.clip(y, -half, half)), 5)


def scaled(project: Project, apart: str, system: System) -> Project:
    """The project with its picture so large that its marks lie a true distance apart; the first one stays where it is.

    Raises: Refused where the distance cannot be read, the marks are too close, or the picture would be too large.
    """
    picture = project.picture
    assert picture is not None
    try:
        wanted = read(apart, LENGTH, system)
    except UnitError as error:
        raise Refused(f"Distance between the marks: {error.reason}; {error.mend}.") from None
    one, two = np.array(picture.marks)
    share = math.dist(one, two)
    if share < NEAREST:
        raise Refused(
            "The two marks lie almost in one place; drag them apart, to the ends of something whose length you know."
        )
    if not wanted > 0:
        raise Refused(f"Distance between the marks: {apart} is not more than 0; write the true distance.")
    width = wanted / share
    still = Placed(0.0, 0.0, float(picture.turn_deg)).to_site(one[None] * (float(picture.width) - width))[0]
    at = (picture.at[0] + float(still[0]), picture.at[1] + float(still[1]))
    project = put(project, (*PATH, "width"), _text(width, system), system)
    return put(project, (*PATH, "at"), tuple(_text(value, system) for value in at), system)


def apart(picture: PlacedPicture, system: System) -> str:
    """How far apart its marks lie now."""
    return show(math.dist(*marks(picture)), LENGTH, system, frame.PLAN_UNIT[system])


JOB: Path = ("site", "job")
FIRM: Path = (*JOB, "firm")
PHOTOS: Path = (*JOB, "photos")
PHOTO = "photo"  # where what is refused of one is kept
LONGEST_PHOTO = 720  # px of a photo as it is kept


def photos(desk: Desk) -> None:
    """What is kept, and a chooser for more."""
    held = desk.project.site.job.photos
    turn = desk.history.revision
    for number, photo in enumerate(held):
        st.image(f"data:image/jpeg;base64,{photo.data}", width=160, caption=unmarked(photo.name))
        st.button(f"Remove photo {number + 1}", key=f"photo {number} {turn}", on_click=guarded(_drop, desk, number))
    if len(held) < MOST_PHOTOS:
        wanted = st.checkbox("Keep its time and place", key="photo taken")
        st.file_uploader(
            "Photo of the site",
            type=TYPES,
            key=f"photo {turn}",
            max_upload_size=100,  # what is too large is refused in our own words
            on_change=guarded(lambda: _take_photo(desk, widget(f"photo {turn}"), wanted)),
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


def _take_photo(desk: Desk, given: Any, wanted: bool) -> None:
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
    data = as_jpeg(name, file, LONGEST_PHOTO, MOST_LETTERS)  # drawn anew: nothing of the file but its picture is left
    photo = {"name": name.strip()[:120], "taken": _taken(file) if wanted else "", "data": data}
    return put(project, PHOTOS, (*held, photo))


def _taken(file: bytes) -> str:
    """When and where a photo says it was taken; "" where it does not."""
    with Image.open(io.BytesIO(file), formats=FORMATS) as image:
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


SUCH_AS = {"us": "such as 24 ft 6 in", "si": "such as 7.5 m"}


def picture_controls(form: Form) -> None:
    """A photo from above or a survey drawing: a file chooser without one, else all that can be set about it."""
    desk = form.desk
    picture, key = desk.project.picture, f"picture {desk.history.revision}"
    if picture is None and form.part:
        return
    if picture is None:
        st.file_uploader(
            "Photo from above, or survey drawing",
            type=TYPES,
            key=f"{key} file",
            max_upload_size=100,
            on_change=guarded(lambda: _take_picture(desk, widget(f"{key} file"))),
        )
        return
    part_controls(form, PATH)
    form.show()
    if form.part:
        return
    now = apart(picture, desk.units)
    st.caption(
        "To scale it, drag the two round marks on the plan to the ends of something whose length you know: now "
        f"{now} apart."
    )
    true = st.text_input("True distance between the marks", key=f"{key} apart", placeholder=SUCH_AS[desk.units])
    st.button(
        "Scale the picture",
        key=f"{key} scale",
        width="stretch",
        disabled=not true,
        on_click=guarded(lambda: desk.edit(lambda: scaled(desk.project, true, desk.units))),
    )
    st.button(
        "Remove the picture",
        key=f"{key} drop",
        on_click=guarded(lambda: desk.edit(lambda: put(desk.project, PATH, None))),
    )


def _take_picture(desk: Desk, given: Any) -> None:
    """The file as the picture under the plan, at first as wide as the plan."""
    if given is None:
        return
    west, south, east, north = extent([evaluate(desk.project).options[desk.option]])
    middle = ((west + east) / 2, (south + north) / 2)
    desk.edit(lambda: pictured(desk.project, given.name, given.getvalue(), east - west, middle, desk.units))


LOGO = "logo"  # where what is refused of it is kept
LONGEST_LOGO = 480  # px of a logo as it is kept


def logo(desk: Desk) -> None:
    key = f"logo {desk.history.revision}"
    logo = desk.project.site.job.firm.logo
    if not logo:
        st.file_uploader(
            "Firm's logo",
            type=TYPES,
            key=key,
            max_upload_size=100,  # what is too large is refused in our own words
            on_change=guarded(lambda: _take_logo(desk, widget(key))),
        )
        say_refused(desk, LOGO)
        return
    st.image(f"data:image/jpeg;base64,{logo}", width=160)
    st.button(
        "Remove the logo",
        key=f"{key} drop",
        on_click=guarded(lambda: desk.edit(lambda: put(desk.project, (*FIRM, "logo"), ""))),
    )


def _take_logo(desk: Desk, given: Any) -> None:
    if given is not None:
        desk.edit(lambda: with_logo(desk.project, given.name, given.getvalue()), key=LOGO, text=given.name)


def with_logo(project: Project, name: str, file: bytes) -> Project:
    """The project with the firm's logo, kept small.

    Raises: Refused as ``as_jpeg``, where it is too large or no picture.
    """
    return put(project, (*FIRM, "logo"), as_jpeg(name, file, LONGEST_LOGO, MOST_LETTERS))
