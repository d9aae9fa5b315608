"""Pictures of a subject: the name that comes next, taken down and taken out again."""

from __future__ import annotations

from collections.abc import Iterable

from walkthrough.app.prompt import OFFERED, Prompt
from walkthrough.app.record import Record
from walkthrough.report.text import clean, joined
from walkthrough.survey import photos
from walkthrough.survey.model import Subject
from walkthrough.survey.photos import Photo, folder_of

PHOTOS = "photos"
"""The field of a subject that holds the names of its pictures."""

_NAMED = 3


def photo_prompt(record: Record, subject: Subject, id: str) -> Prompt:
    """The prompt that asks for a picture of a subject, and offers the next number."""
    here = f"Here already: {', '.join(subject.photos)}. " if subject.photos else ""
    told = (
        f"{here}As the camera names it; a bare number is enough once there is one. "
        f"Its file belongs into the folder {folder_of(record.path).name}."
    )
    offered = photos.next_name(_taken(record), record.last_photo) or None
    origin = OFFERED if offered else ""
    return Prompt(id, "Which picture shows it?", "text", (), told, offered, origin, can_skip=False)


def add_photo(record: Record, subject: Subject, typed: str) -> None:
    """Put a picture to a subject; it is not saved yet. Raises photos.Refused for a name it cannot
    have, and where the subject has it already."""
    name = photos.with_number(typed, _taken(record), record.last_photo)
    photos.file_of(name, folder_of(record.path))
    if name in subject.photos:
        raise photos.Refused(f"{name} stands here already")
    subject.photos = [*subject.photos, name]
    record.last_photo = name


def forget_last_photo(record: Record, subject: Subject, prompt: str) -> None:
    """Take the last picture of a subject out of the record, and save."""
    subject.photos = subject.photos[:-1]
    record.take_photo_sums({})
    record.change(subject, prompt)


def without_sum(record: Record) -> list[str]:
    """The pictures whose checksum the record does not hold."""
    sums = record.session.photo_sums
    return [name for name in dict.fromkeys(_taken(record)) if name not in sums]


def what_is_wrong(looked_at: Iterable[Photo]) -> str:
    """What no longer fits, in one line; a picture never at hand may still be in the camera."""
    told: dict[str, list[str]] = {}
    for each in looked_at:
        if each.told and (each.sha256 or each.state == "refused"):
            told.setdefault(each.state, []).append(f"{each.name} ({each.subject})")
    return clean(joined((_listed(state, names) for state, names in told.items()), "; "))


def _listed(state: str, names: list[str]) -> str:
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    return f"photo {state}: {', '.join(names[:_NAMED])}{more}"


def _taken(record: Record) -> list[str]:
    return [name for _, _, name in photos.named(record.session)]
