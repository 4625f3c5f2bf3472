"""What a person entered, frozen as entered: the visit and everything in it.

A reading keeps the text exactly as typed, its unit and its gauge: it is evidence, and numbers are made
from it later (`findings/reading.py`). These records also make the JSON Schema of the visit file. They
know nothing of limits, rules or prices.
"""

from __future__ import annotations

from datetime import date as Date
from typing import Literal

from pydantic import Field

from wheeltapper.changes import LineEdit, Terms
from wheeltapper.owner_said import Answer, Declined, Exit, GoAhead, Question, Reply, Seen
from wheeltapper.record import Level, Miles, Record, Share, Texts, Tone
from wheeltapper.words import BrakeKind, CallWord, LimitGrade, MileageQuality, Part, Scope, Use


class Gauge(Record):
    """A gauge and its uncertainty."""

    id: str
    kind: str = Field(description="drum gauge, rotor micrometer, dial indicator, depth gauge, meter, ...")
    u: Texts = Field(
        description="expanded uncertainty (k = 2) with its unit, '0.003 in'; several for a meter"
    )
    calibrated: Date | None = None


class Unit(Record):
    """The trailer."""

    id: str
    axles: int = Field(ge=1, le=4)
    brake: BrakeKind
    drum: str | None = Field(None, description="nominal drum size: '7 in', '10 in', '12 in' or '12 1/4 in'")
    bolt_pattern: str | None = Field(None, description="'5 on 4.5', '6 on 5.5', '8 on 6.5'")
    studs: str | None = Field(
        None, description="stud thread: '1/2-20', '9/16-18', '5/8-18', 'M12x1.5', 'M14x1.5'"
    )
    axle_rating_lb: float | None = Field(None, gt=0, le=20_000)
    lining: Literal["bonded", "riveted"] | None = Field(
        None, description="riveted lining is measured over the rivet heads"
    )
    rotor_new: str | None = Field(None, description="thickness of a new rotor with its unit, '25.4 mm'")
    lube: str | None = Field(None, description="grease or oil")
    spindle_fitting: bool | None = None
    use: Use | None = None
    tow_controller: str | None = None
    magnet_amps: str | None = Field(None, description="rated current of one magnet with its unit, '3.0 A'")
    inner_bearing: str | None = Field(None, description="cone/cup as marked, '25580/25520'")
    outer_bearing: str | None = Field(None, description="cone/cup as marked, '15123/15245'")
    hub_material: Literal["grey iron", "ductile iron", "aluminium"] | None = Field(
        None, description="grey iron is assumed where not given"
    )
    stud_grade: str | None = Field(
        None, description="as marked on the stud: 'grade 5', 'grade 8', '8.8', '10.9'"
    )
    nut: str | None = Field(None, description="'cone', 'cone with clamp ring' or 'flange'")
    wheel: str | None = Field(
        None, description="'12 and 13 in', '14 to 16 in', 'aluminium', ...: docs/running-it.md"
    )
    loaded_lb: float | None = Field(None, gt=0, le=80_000, description="weight on the axles as it is towed")
    tire_radius: str | None = Field(None, description="axle centre to road, loaded, with its unit: '13.7 in'")
    wire_awg: int | None = Field(None, ge=4, le=24, description="gauge of the brake wire")
    wire_feet: float | None = Field(
        None, gt=0, le=400, description="length of brake wire and ground, out and back"
    )


class Mileage(Record):
    """How far the trailer has gone, and how well that is known."""

    now: Miles | None = Field(None, description="the trailer's own count, in miles")
    since_last: Miles | None = Field(None, description="miles since the last visit")
    quality: MileageQuality = "unknown"


class Look(Record):
    """One answered check: what was seen, felt or heard, or 'fine'."""

    check: str = Field(description="a check of the sweep: see `wheeltapper rules --checks`")
    found: Texts = Field(
        min_length=1, description="'fine', or one or more of the check's own words for what was found"
    )
    place: str | None = Field(
        None, description="inner or outer, primary or secondary, where the check has places"
    )
    count: int | None = Field(None, ge=0, le=40, description="how many, for studs and nuts")
    clock: str | None = Field(None, description="clock position, stud 1 at the paint mark")
    size: str | None = Field(None, description="how long or wide it looked, for the record only")
    by: str | None = Field(None, description="who looked; the visit's technician where not given")
    photo: Texts = ()
    note: str | None = None


class Reading(Record):
    """One gauge reading, or several taken in one go, as typed."""

    what: str = Field(
        description="'friction diameter', 'lining thickness', ...: see `wheeltapper rules --checks`"
    )
    at: Texts | None = Field(
        None,
        description="'mid 0', 'open', 'closed', 'largest', 'repeat', 'primary', ...; for a dial the clock positions,"
        " '45' degrees or '1:30', one for each value; a dial without 'at' was read evenly round from stud 1, clockwise",
    )
    value: Texts = Field(
        min_length=1, description="as typed; four friction diameters without 'at' are mid 0, 45, 90 and 135"
    )
    radius: str | None = Field(
        None, description="for a face dial: how far from the hub's centre it was read, '2.75 in'"
    )
    unit: str
    gauge: str
    by: str | None = None
    photo: Texts = ()
    note: str | None = None


class NotChecked(Record):
    """A check that was not made, and why."""

    check: str
    why: str
    by: str | None = None


class Limit(Record):
    """A limit read off the part or out of the part maker's sheet."""

    what: str = Field(description="'friction diameter', 'rotor thickness', ...")
    value: str
    unit: str
    grade: LimitGrade
    position: str | None = Field(None, description="one wheel; every wheel of the trailer where not given")
    source: str | None = Field(None, description="where it stands: the sheet's name and page")


class RingDrawn(Record):
    """How one drum rang, for its picture: the level of the sound from the tap on, and its tones."""

    every_s: float = Field(gt=0, le=1, description="from one level to the next")
    level_db: tuple[Level, ...] = Field(min_length=2, max_length=500, description="0 at the tap")
    tones: tuple[tuple[Tone, Share, bool], ...] = Field(
        (), max_length=60, description="frequency in Hz, share of the loudest, does the other drum have it?"
    )


class RingHeard(Record):
    """What `wheeltapper ring` said of one recording of this drum; the recordings of one day in order."""

    clip: str = Field(description="name of the recording")
    verdict: Literal["rings like its references", "dull", "looks split", "inspect", "retake", "no call"]
    hung: bool | None = Field(None, description="was the drum clean, and hung free by one strap?")
    p: float | None = Field(None, ge=0, le=1, description="chance of so dull a ring from a good drum")
    looked_by: str | None = Field(
        None,
        description="who looked the drum over closely after it, fingernail across every line, and felt none",
    )
    drawn: RingDrawn | None = Field(None, description="this drum, for the picture on the sheet")
    good: RingDrawn | None = Field(None, description="the good drum it was held against")


class MarkSeen(Record):
    """What `wheeltapper mark` said of one photo, and what a named person felt there."""

    photo: str = Field(description="name of the photo")
    sha256: str | None = Field(None, description="of the photo as it was taken")
    on: Literal["friction band", "magnet face", "hub face", "rotor"] = "friction band"
    verdict: Literal["measured", "retake"]
    seen: str | None = Field(None, description="what the photo shows, in words")
    pattern: Literal["nothing dark", "one long dark line", "several lines", "fine network"] | None = None
    end_to_end_mm: float | None = Field(None, gt=0, le=2000)
    plus_minus_mm: float | None = Field(None, ge=0, le=2000)
    reaches_edge: bool | None = None
    grown: bool | None = Field(None, description="longer than last time by more than the doubt?")
    felt: Literal["catches", "smooth"] | None = Field(None, description="a fingernail drawn across it")
    felt_by: str | None = Field(None, description="who felt it: without a name it was not felt")
    looked_by: str | None = Field(
        None,
        description="who looked it over closely (cleaned, light, dye, a second person) and found no crack",
    )
    figure: str | None = Field(None, description="small picture for the sheet, a file beside the visit")


class Corner(Record):
    """One wheel end."""

    position: str = Field(description="axle and side: '1-road', '1-curb', '2-road', ...")
    by: str | None = None
    inner_bearing: str | None = Field(None, description="where this hub has another than the unit's")
    outer_bearing: str | None = Field(None, description="where this hub has another than the unit's")
    look: tuple[Look, ...] = ()
    feel: tuple[Look, ...] = ()
    hear: tuple[Look, ...] = ()
    ring: tuple[RingHeard, ...] = Field((), description="recordings of taps on this drum: `wheeltapper ring`")
    mark: tuple[MarkSeen, ...] = Field((), description="photos of marks with a card: `wheeltapper mark`")
    reading: tuple[Reading, ...] = ()
    not_checked: tuple[NotChecked, ...] = ()
    rest_fine: str | None = Field(
        None, description="who says that the rest of this corner was checked and is fine"
    )


class Fitted(Record):
    """A part that was fitted before this visit: its life starts here."""

    position: str
    part: Part
    id: str | None = None
    date: Date | None = None
    miles: Miles | None = Field(None, description="on the trailer's own count")
    miles_ago: Miles | None = None


class Past(Record):
    """A reading of an earlier visit."""

    position: str
    what: str
    value: str
    unit: str
    at: str | None = None
    gauge: str | None = None
    date: Date | None = None
    miles: Miles | None = Field(None, description="on the trailer's own count")
    miles_ago: Miles | None = None
    fitted: str | None = Field(None, description="id of the fitted part it was taken on")


class PersonCall(Record):
    """What a person called on a part."""

    position: str
    part: Part
    call: CallWord
    by: str
    why: str | None = None


class SecondLook(Record):
    """Another person looked a wheel over after somebody who is still learning."""

    position: str
    by: str
    agrees: bool = Field(description="with every answer of that wheel")
    why: str | None = None


class Done(Record):
    """Work done during this visit."""

    position: str
    part: Part
    action: str = Field(description="'replaced' for a new part; else what was done: scuffed, adjusted, ...")
    by: str
    after: str | None = Field(None, description="after-photo or after-reading: bench work needs one")


class FollowUp(Record):
    """An item that fell due after a visit, and what was found when it was done."""

    what: Literal["retorque", "adjust"]
    due: Miles = Field(description="miles after that visit at which it was due")
    done: Miles | None = Field(None, description="miles after that visit at which it was done")
    date: Date | None = Field(
        None, description="the day it was done, where nobody knows after how many miles too"
    )
    moved: bool | None = Field(None, description="retorque: did any nut turn?")
    turned: str | None = Field(None, description="retorque: how far the nut that turned most went, '20 deg'")
    by: str | None = None
    how: str | None = Field(None, description="on the page, by the tag, in the shop")
    said: str | None = Field(None, max_length=600, description="in the words of whoever did it")
    seen: Seen | None = None

    @property
    def was_done(self) -> bool:
        """By its miles or by its day: an owner without a counter knows only the day."""
        return self.done is not None or self.date is not None


class Torque(Record):
    """How the nuts of a wheel were tightened for the last time."""

    value: str = Field(description="with its unit: '110 ft-lb'")
    stages: Texts = Field(
        (), description="torques gone round at in star order, '25 ft-lb', the final one last"
    )
    source: str | None = Field(None, description="where the value stands: wheel label, axle sheet, ...")
    wrench: str | None = None
    by: str | None = None
    second: str | None = Field(None, description="another person who read the source and the wrench")


class Refit(Record):
    """Return sheet of one wheel."""

    position: str
    end_play: str | None = Field(None, description="with its unit: '0.003 in'")
    gauge: str | None = None
    method: str | None = Field(
        None, description="how the bearings were set: a method of settings.csv, or its name"
    )
    seat_torque: str | None = Field(
        None, description="at the spindle nut while the hub is turned, with its unit: '50 ft-lb'"
    )
    back_off: str | None = Field(None, description="how far the spindle nut was backed off: '1/6 turn'")
    nut: str | None = Field(None, description="wheel nuts used: 'cone', 'cone with clamp ring' or 'flange'")
    new_seal: bool | None = None
    new_pin: bool | None = None
    faces_clean: bool | None = None
    seats_match: bool | None = None
    torque: Torque | None = None
    magnet_volts: str | None = Field(None, description="with its unit: '11.9 V'")
    hub_temperature: str | None = Field(None, description="after the run, with its unit: '97 F'")


class ReturnSheet(Record):
    """Return to service, wheel by wheel and for the trailer."""

    wheel: tuple[Refit, ...] = ()
    adjusted: bool | None = None
    plug_volts: str | None = None
    total_amps: str | None = None
    breakaway_locks: bool | None = None
    bedding_stops: int | None = Field(None, ge=0, le=500)
    run_miles: Miles | None = None
    ambient: str | None = None
    by: str | None = None
    out: bool = Field(False, description="the trailer has left the yard on its wheels")


class Braking(Record):
    """How it was braked, as the driver tells it: what the heat is held against."""

    stops: int | None = Field(None, ge=1, le=500, description="hard stops one after the other")
    from_mph: float | None = Field(None, gt=0, le=100)
    minutes_apart: float | None = Field(None, ge=0, le=600)
    grade_percent: float | None = Field(None, gt=0, le=30)
    grade_miles: float | None = Field(None, gt=0, le=100)
    grade_mph: float | None = Field(None, gt=0, le=100)


class Visit(Record):
    """One visit of one trailer."""

    date: Date
    technician: str
    shop: str | None = None
    scope: Scope = "hub service"
    booked: tuple[str, ...] | None = Field(
        None, description="'hub service', 'adjust'; hub service where not given"
    )
    unit: Unit
    mileage: Mileage = Mileage()
    complaint: str | None = None
    owner_said: Texts = ()
    braking: Braking | None = None
    gauge: tuple[Gauge, ...] = ()
    limit: tuple[Limit, ...] = ()
    limit_sought_by: str | None = Field(None, description="who looked for the maker's limit and found none")
    corner: tuple[Corner, ...] = ()
    reading: tuple[Reading, ...] = Field((), description="of the trailer: volts at plug, total amps")
    fitted: tuple[Fitted, ...] = ()
    history: tuple[Past, ...] = ()
    call: tuple[PersonCall, ...] = ()
    answer: tuple[Answer, ...] = ()
    estimate: tuple[LineEdit, ...] = ()
    terms: tuple[Terms, ...] = ()
    go_ahead: tuple[GoAhead, ...] = ()
    question: tuple[Question, ...] = ()
    reply: tuple[Reply, ...] = ()
    declined: tuple[Declined, ...] = ()
    done: tuple[Done, ...] = ()
    follow_up: tuple[FollowUp, ...] = ()
    learning: tuple[str, ...] = Field(
        (), description="who is still learning: a wheel they answered needs a second look"
    )
    second_look: tuple[SecondLook, ...] = ()
    return_sheet: ReturnSheet | None = None
    exit: Exit | None = None
