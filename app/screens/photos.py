"""Photos on a visit: of the plate, of the part; taken with the phone, kept small."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from app import session
from app.photos import PhotoKind, attach_photo, photo_jpeg, remove_photo, visit_photos
from app.screens import blocks, marks
from estimator.errors import Trouble

if TYPE_CHECKING:
    from app.ledger.entries import Photo

WHAT = {
    PhotoKind.PLATE: "the rating plate",
    PhotoKind.PART: "the old part",
    PhotoKind.SITE: "the site",
}
LARGEST_MB = 25
SIZE = "Kept small, without place, time or camera."


def show(draft_id: str, kind: PhotoKind) -> None:
    """Lay out the photos of one kind, and the ways to take one.

    Parameters
    ----------
    draft_id
        The draft of the visit.
    kind
        What is to be seen on them.
    """
    taken = [
        photo
        for photo in visit_photos(session.shop(), session.signed_in(), draft_id)
        if photo.kind == kind
    ]
    said = "1 taken" if len(taken) == 1 else f"{len(taken)} taken" if taken else "none taken"
    with st.expander(f"**Photo of {WHAT[kind]}**  \n{said}", key=f"{draft_id}-photos-{kind}"):
        problem = st.session_state.pop(_named("problem", draft_id, kind), "")
        if problem:
            blocks.write(marks.note(problem, "check", "Not kept."))
        for photo in taken:
            _photo(photo)
        turn = st.session_state.get(_named("turn", draft_id, kind), 0)
        _take(draft_id, kind, turn)


def _take(draft_id: str, kind: PhotoKind, turn: int) -> None:
    """Lay out the ways to a photo; each turn is a fresh field, for the last one is kept."""
    key = _named(f"upload-{turn}", draft_id, kind)
    st.file_uploader(
        f"Take or choose a photo of {WHAT[kind]}",
        ["jpg", "jpeg", "png", "webp"],
        key=key,
        help=SIZE,
        max_upload_size=LARGEST_MB,
        on_change=_keep,
        args=(draft_id, kind, key),
    )
    if st.toggle("With this device's camera", key=_named("camera", draft_id, kind)):
        key = _named(f"snap-{turn}", draft_id, kind)
        st.camera_input(
            f"Photo of {WHAT[kind]}", key=key, on_change=_keep, args=(draft_id, kind, key)
        )


@session.guarded
def _keep(draft_id: str, kind: PhotoKind, key: str) -> None:
    """Keep what was taken; what is no photo is said here, at the field."""
    given = st.session_state.get(key)
    if given is None:
        return
    try:
        attach_photo(
            session.shop(), session.signed_in(), draft_id, kind, given.getvalue(), session.now()
        )
    except Trouble as trouble:
        st.session_state[_named("problem", draft_id, kind)] = str(trouble)
    turn = _named("turn", draft_id, kind)
    st.session_state[turn] = st.session_state.get(turn, 0) + 1


def _photo(photo: Photo) -> None:
    jpeg = photo_jpeg(session.shop(), session.signed_in(), photo.photo_id)
    when = photo.taken_at.astimezone()
    said = f"{photo.taken_by}, {when:%d %b %H:%M}"
    alt = f"Photo of {WHAT[PhotoKind(photo.kind)]}"
    st.image(jpeg, caption=said, width="stretch", alt=alt)
    st.button(
        "Take this photo away",
        key=f"away-{photo.photo_id}",
        on_click=_remove,
        args=(photo.photo_id,),
        width="stretch",
    )


@session.guarded
def _remove(photo_id: str) -> None:
    remove_photo(session.shop(), session.signed_in(), photo_id, session.now())


def _named(what: str, draft_id: str, kind: PhotoKind) -> str:
    return f"photo-{what}-{draft_id}-{kind}"
