"""Images that a person brings: photos of the site and the firm's logo, which papers print, and the picture under the
plan.

All are made small enough to be kept in the project (``as_jpeg``). A photo keeps its time and place only if the person
wants that. The picture under the plan can be scaled by two marks, moved, turned and removed.
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
from pondkit.page.state import Desk, escape_markdown, guarded, widget_value
from pondkit.project.files import put
from pondkit.project.project import MOST_LETTERS, MOST_PHOTOS, MOST_PICTURE_LETTERS, PlacedPicture, Project
from pondkit.report.plan import extent
from pondkit.study.evaluate import evaluate

PICTURE: Path = ("picture",)
MOST_BYTES = 20_000_000  # of a file
MOST_PIXELS = 80_000_000  # more would fill the memory of a small machine
TYPES = ["jpg", "jpeg", "png", "webp", "tif", "tiff"]
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF")
LONGEST_BACKDROP = 1600  # px, longer side of the picture under the plan
QUALITIES = (80, 65, 50, 35)  # of the JPEG, tried in this order
DECIMALS = 3  # of the width and middle of the picture under the plan, in the unit of the plan
NEAREST = 0.02  # of the width: marks that are closer scale the picture badly
Spot = tuple[float, float]


def with_picture(project: Project, name: str, file: bytes, across: float, middle: Spot, system: System) -> Project:
    """The project with a file as the picture under its plan.

    Args:
        project: The document.
        name: Name of the file.
        file: Its bytes, as for ``as_jpeg``.
        across, middle: Width and middle of the picture on the site at first [m].
        system: Unit system in which these are written.
    Raises: Refused as ``as_jpeg``.
    """
    picture = {
        "name": (name.strip() or "picture")[:120],
        "data": as_jpeg(name, file, LONGEST_BACKDROP, MOST_PICTURE_LETTERS),
        "at": tuple(_length_text(value, system) for value in middle),
        "width": _length_text(across, system),
    }
    return put(project, PICTURE, picture, system)


def as_jpeg(name: str, file: bytes, longest: int, most: int) -> str:
    """An image file as JPEG in base64, small enough to be kept in the project and sent to the browser.

    Args:
        name: Name of the file, for messages.
        file: Bytes of a JPEG, PNG, WebP or TIFF file, whatever its name ends in. No other kind is tried, since readers
            of some kinds start other programs.
        longest: Longer side of the image that is kept [px].
        most: Most letters of the text.
    Raises: Refused if the file is too large, or no image of these kinds.
    """
    if len(file) > MOST_BYTES:
        raise Refused(
            f"{name} holds {len(file) / 1e6:.1f} MB; a picture may hold at most {MOST_BYTES / 1e6:.0f} MB: save "
            f"it smaller, {longest:,} pixels wide is enough."
        )
    try:
        with Image.open(io.BytesIO(file), formats=FORMATS) as image:
            if image.width * image.height > MOST_PIXELS:
                raise Refused(
                    f"{name} has {image.width:,} × {image.height:,} pixels; at most {MOST_PIXELS / 1e6:.0f} "
                    "million are read: save it smaller."
                )
            image.draft("RGB", (longest, longest))  # a large JPEG is read at a fraction of its size
            image.load()
            image.getexif()
            image.info.pop("exif", None)  # its orientation is read by now; damaged data could not be written
            upright = ImageOps.exif_transpose(image)
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
    return _encode(flat, longest, most)


def _encode(flat: Image.Image, longest: int, most: int) -> str:
    """A JPEG in base64 of at most ``most`` letters: by lower quality first, then by a smaller image."""
    for quality in QUALITIES:
        out = io.BytesIO()
        flat.save(out, "JPEG", quality=quality)
        text = base64.b64encode(out.getvalue()).decode()
        if len(text) <= most:
            return text
    flat.thumbnail((longest // 2, longest // 2))
    return _encode(flat, longest // 2, most)


def _length_text(value: float, system: System) -> str:
    """A length [m] as the document holds it, in the unit of the plan."""
    unit_size = frame.magnitude_of(frame.PLAN_UNIT[system])
    return as_text(round(value / unit_size, DECIMALS) * unit_size, LENGTH, frame.PLAN_UNIT[system], system)


def picture_name(picture: PlacedPicture) -> str:
    """A short name of the image, constant while the server runs. Python keeps the hash of a text, so that asking again
    costs nothing.
    """
    return f"kept:{hash(picture.data) & 0xFFFFFFFFFFFFFFFF:016x}"


def _placement(picture: PlacedPicture) -> Placed:
    return Placed(float(picture.at[0]), float(picture.at[1]), float(picture.turn_deg))


def corners(picture: PlacedPicture) -> tuple[Spot, ...]:
    """Corners of the picture on the site, anticlockwise from its lower left [m]."""
    x, y = picture.width / 2, picture.width * aspect(picture) / 2
    return _spots(_placement(picture).to_site(np.array([[-x, -y], [x, -y], [x, y], [-x, y]])))


def mark_places(picture: PlacedPicture) -> tuple[Spot, ...]:
    """The picture's two marks on the site [m]."""
    return _spots(_placement(picture).to_site(np.array(picture.marks) * float(picture.width)))


def turn_place(picture: PlacedPicture) -> Spot:
    """Where the handle of the picture's turn stands on the site [m]."""
    return _spots(_placement(picture).to_site(np.array([[0.45 * picture.width, 0.0]])))[0]


def _spots(places: Any) -> tuple[Spot, ...]:
    return tuple((float(x), float(y)) for x, y in places)


def mark_at(picture: PlacedPicture, to: Spot) -> Spot:
    """A place on the site [m] as a place on the picture, in shares of its width from its middle. A place outside is
    moved to the edge.
    """
    x, y = _placement(picture).to_own(np.array([to]))[0] / float(picture.width)
    half = aspect(picture) / 2
    return round(float(np.clip(x, -0.5, 0.5)), 5), round(float(np.clip(y, -half, half)), 5)


def with_mark_distance(project: Project, distance: str, system: System) -> Project:
    """The project with its picture scaled so that the marks are a true distance apart. The first mark stays where it
    is.

    Raises: Refused if the distance cannot be read, the marks are too close, or the picture would be too large.
    """
    picture = project.picture
    assert picture is not None
    try:
        true_distance = read(distance, LENGTH, system)
    except UnitError as error:
        raise Refused(f"Distance between the marks: {error.reason}; {error.mend}.") from None
    first_mark, second_mark = np.array(picture.marks)
    share = math.dist(first_mark, second_mark)
    if share < NEAREST:
        raise Refused(
            "The two marks lie almost in one place; drag them apart, to the ends of something whose length you know."
        )
    if not true_distance > 0:
        raise Refused(f"Distance between the marks: {distance} is not more than 0; write the true distance.")
    width = true_distance / share
    shift = Placed(0.0, 0.0, float(picture.turn_deg)).to_site(first_mark[None] * (float(picture.width) - width))[0]
    middle = (picture.at[0] + float(shift[0]), picture.at[1] + float(shift[1]))
    project = put(project, (*PICTURE, "width"), _length_text(width, system), system)
    return put(project, (*PICTURE, "at"), tuple(_length_text(value, system) for value in middle), system)


def mark_distance(picture: PlacedPicture, system: System) -> str:
    """Present distance between the picture's marks, as text."""
    return show(math.dist(*mark_places(picture)), LENGTH, system, frame.PLAN_UNIT[system])


JOB: Path = ("site", "job")
FIRM: Path = (*JOB, "firm")
PHOTOS: Path = (*JOB, "photos")
PHOTO = "photo"  # key of a refused photo
LONGEST_PHOTO = 720  # px, longer side


def photo_controls(desk: Desk) -> None:
    """The photos of the job, each with a button to remove it, and a chooser for one more."""
    photos = desk.project.site.job.photos
    turn = desk.history.revision
    for number, photo in enumerate(photos):
        st.image(f"data:image/jpeg;base64,{photo.data}", width=160, caption=escape_markdown(photo.name))
        st.button(
            f"Remove photo {number + 1}", key=f"photo {number} {turn}", on_click=guarded(_remove_photo, desk, number)
        )
    if len(photos) < MOST_PHOTOS:
        keep_time_and_place = st.checkbox("Keep its time and place", key="photo taken")
        st.file_uploader(
            "Photo of the site",
            type=TYPES,
            key=f"photo {turn}",
            max_upload_size=100,  # MB; a file over MOST_BYTES is refused in our own words
            on_change=guarded(lambda: _add_photo(desk, widget_value(f"photo {turn}"), keep_time_and_place)),
        )
        show_refusal(desk, PHOTO)


def show_refusal(desk: Desk, key: str) -> None:
    """Shows why the last file for an image was refused, beside its chooser; nothing if it was taken."""
    if key in desk.refusals:
        _, reason = desk.refusals[key]
        st.html(f"<div class='pk-problem' role='alert'>{html.escape(writable(reason))}</div>")


def _remove_photo(desk: Desk, number: int) -> None:
    photos = desk.project.site.job.photos
    desk.edit(lambda: put(desk.project, PHOTOS, tuple(photo for index, photo in enumerate(photos) if index != number)))


def _add_photo(desk: Desk, upload: Any, keep_time_and_place: bool) -> None:
    if upload is not None:
        desk.edit(
            lambda: with_photo(desk.project, upload.name, upload.getvalue(), keep_time_and_place=keep_time_and_place),
            key=PHOTO,
            text=upload.name,
        )


def with_photo(project: Project, name: str, file: bytes, *, keep_time_and_place: bool) -> Project:
    """The project with one more photo; with its time and place in words only if these are to be kept.

    Raises: Refused as ``as_jpeg``, and if the job has as many photos as it may hold.
    """
    photos = project.site.job.photos
    if len(photos) >= MOST_PHOTOS:
        raise Refused(f"The job holds {MOST_PHOTOS} photos; remove one before you add {name}.")
    data = as_jpeg(name, file, LONGEST_PHOTO, MOST_LETTERS)  # encoded anew: nothing of the file is left but the image
    photo = {"name": name.strip()[:120], "taken": _time_and_place(file) if keep_time_and_place else "", "data": data}
    return put(project, PHOTOS, (*photos, photo))


def _time_and_place(file: bytes) -> str:
    """When and where a photo says it was taken; "" if it does not."""
    with Image.open(io.BytesIO(file), formats=FORMATS) as image:
        exif = image.getexif()
    times = exif.get_ifd(ExifTags.IFD.Exif)
    when = str(times.get(ExifTags.Base.DateTimeOriginal) or exif.get(ExifTags.Base.DateTime) or "")
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
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
    """Controls of the picture under the plan, a photo from above or a survey drawing; a file chooser while there is
    none.
    """
    desk = form.desk
    picture, key = desk.project.picture, f"picture {desk.history.revision}"
    if picture is None and form.partial_run:
        return
    if picture is None:
        st.file_uploader(
            "Photo from above, or survey drawing",
            type=TYPES,
            key=f"{key} file",
            max_upload_size=100,
            on_change=guarded(lambda: _add_picture(desk, widget_value(f"{key} file"))),
        )
        return
    part_controls(form, PICTURE)
    form.show()
    if form.partial_run:
        return
    distance = mark_distance(picture, desk.units)
    st.caption(
        "To scale it, drag the two round marks on the plan to the ends of something whose length you know: now "
        f"{distance} apart."
    )
    typed_distance = st.text_input(
        "True distance between the marks", key=f"{key} apart", placeholder=SUCH_AS[desk.units]
    )
    st.button(
        "Scale the picture",
        key=f"{key} scale",
        width="stretch",
        disabled=not typed_distance,
        on_click=guarded(lambda: desk.edit(lambda: with_mark_distance(desk.project, typed_distance, desk.units))),
    )
    st.button(
        "Remove the picture",
        key=f"{key} drop",
        on_click=guarded(lambda: desk.edit(lambda: put(desk.project, PICTURE, None))),
    )


def _add_picture(desk: Desk, upload: Any) -> None:
    """Take a file as the picture under the plan, at first as wide as all that is drawn."""
    if upload is None:
        return
    west, south, east, north = extent([evaluate(desk.project).options[desk.option]])
    middle = ((west + east) / 2, (south + north) / 2)
    desk.edit(lambda: with_picture(desk.project, upload.name, upload.getvalue(), east - west, middle, desk.units))


LOGO = "logo"  # key of a refused logo
LONGEST_LOGO = 480  # px, longer side


def logo_control(desk: Desk) -> None:
    """The firm's logo with a button to remove it, or a chooser for one."""
    key = f"logo {desk.history.revision}"
    logo = desk.project.site.job.firm.logo
    if not logo:
        st.file_uploader(
            "Firm's logo",
            type=TYPES,
            key=key,
            max_upload_size=100,  # MB; a file over MOST_BYTES is refused in our own words
            on_change=guarded(lambda: _add_logo(desk, widget_value(key))),
        )
        show_refusal(desk, LOGO)
        return
    st.image(f"data:image/jpeg;base64,{logo}", width=160)
    st.button(
        "Remove the logo",
        key=f"{key} drop",
        on_click=guarded(lambda: desk.edit(lambda: put(desk.project, (*FIRM, "logo"), ""))),
    )


def _add_logo(desk: Desk, upload: Any) -> None:
    if upload is not None:
        desk.edit(lambda: with_logo(desk.project, upload.name, upload.getvalue()), key=LOGO, text=upload.name)


def with_logo(project: Project, name: str, file: bytes) -> Project:
    """The project with the firm's logo, made small.

    Raises: Refused as ``as_jpeg``.
    """
    return put(project, (*FIRM, "logo"), as_jpeg(name, file, LONGEST_LOGO, MOST_LETTERS))
