"""What the computations say, in a sentence or two: one function for each kind, and silence where it does not matter."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import degrees

from wheeltapper.findings.arc import Arc
from wheeltapper.findings.clamp import NUT_FACTOR, Painted, Tightened, Turned
from wheeltapper.findings.facts import Worked
from wheeltapper.findings.fit import CupFit
from wheeltapper.findings.heat import BEYOND_K, Heated
from wheeltapper.findings.life import Life
from wheeltapper.findings.setting import Played, Warmer
from wheeltapper.flow import Examination
from wheeltapper.records import MarkSeen, RingHeard
from wheeltapper.report import worked_electric, worked_form
from wheeltapper.report.wording import Reader, apart, length, miles, percent, rounded, so_dull
from wheeltapper.units import MILE_M, from_si

COMFORT_MI = 50_000  # a bearing that load lets run further was not worn out by load
FAR_MI = 1_000_000  # no trailer runs further: a longer life is not told in figures
GREASE_K = (
    394.15  # 121 C: use limit of lithium grease in an engineering manual's table; nitrile about the same
)
MOVES = ("cup.moves_by_hand", "cup.spun")
HOT_SHARE = 0.2  # of the press; less lost to heat is not worth a sentence


@dataclass(frozen=True)
class Note:
    """One computation as shown: where, what, its sentences."""

    position: str
    title: str
    lines: tuple[str, ...]
    worked: Worked


def notes(ex: Examination, reader: Reader) -> tuple[Note, ...]:
    """The computations that matter for this sheet, in words."""
    out = []
    for w in ex.findings.worked:
        title, say = SAY[w.kind]
        lines = tuple(say(w, ex, reader))
        if lines:
            where = f"{title}, {w.at}" if w.at else title
            out.append(Note(w.position, where, lines, w))
    return tuple(out)


def _cup(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    fit: CupFit = w.result
    cup = f"cup {fit.cup}" if fit.cup else "cup as measured"
    limit = ""
    if fit.most_bore_m is not None and fit.least_bore_m is not None:
        limit = f", published {_span(fit.least_bore_m, fit.most_bore_m, reader)}"
    elif fit.most_bore_m is not None:
        limit = f", at most {_fine(fit.most_bore_m, reader)}"
    doubt = _fine(fit.doubt_m, reader).split()[0]
    yield f"Bore {_fine(fit.bore_m, reader)} ± {doubt}{limit}; {cup}, {_fine(fit.cup_od_m, reader)}."
    if fit.tightest_m <= 0:
        by = f" by {_fine(-fit.tightest_m, reader)} or more" if fit.tightest_m < 0 else ""
        yield f"The cup is loose{by}: no press, no pressure, nothing that holds it against turning."
        return
    press = _span(max(0.0, fit.loosest_m), fit.tightest_m, reader)
    holds = f"{_torque(fit.holds_n_m[0], reader)} to {_torque(fit.holds_n_m[1], reader)}"
    yield f"It is held by {press} of press: about {holds} would turn it in the hub, and {press} more wear of the bore leaves nothing."
    yield from _hot(fit, reader)
    if any(ex.findings.yes(w.position, name) for name in MOVES):
        yield "Yet a cup of this hub moves or has spun: that decides, whatever the gauge says."


def _hot(fit: CupFit, reader: Reader) -> Iterator[str]:
    """What heat takes, where it takes a good part of the press."""
    lost = fit.tightest_m - fit.tightest_hot_m
    if lost > 0 and (fit.loosest_hot_m <= 0 or lost > HOT_SHARE * fit.tightest_m):
        gone = fit.tightest_hot_m <= 0
        left = (
            "none of it is left"
            if gone
            else f"{_span(max(0.0, fit.loosest_hot_m), fit.tightest_hot_m, reader)} is left"
        )
        yield f"In {fit.hub.name} at {_heat(fit.hot_k, reader)} the press falls by {_fine(lost, reader)}: {left}."


def _torque_note(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    t: Tightened = w.result
    studs = ex.visit.unit.studs
    said = f"{_torque(t.torque_n_m, reader)} on {studs}" if studs else _torque(t.torque_n_m, reader)
    rows = "; ".join(f"{r.text} ({r.nut}, {r.wheel} wheel{', ' + r.at if r.at else ''})" for r in t.rows)
    if not studs:
        yield f"{said}: the stud is not on the visit, so no published torque stands beside it. The label of the wheel or axle decides."
    elif not t.rows:
        yield f"{said}: no torque is published here for this stud, nut and wheel. The label of the wheel or axle decides."
    elif t.outside:
        yield f"{said} is outside every published torque for this stud: {rows}. Read the wheel's or axle's label again."
    elif t.differ:
        yield f"{said}. Published torques for this stud differ: {rows}. The label of the wheel or axle decides, not the stud."
    else:
        yield f"{said} is inside the published {rows}. The label of the wheel or axle comes first."
    yield from _stretched(t, reader)


def _stretched(t: Tightened, reader: Reader) -> Iterator[str]:
    """The clamp that the torque makes, and what that does to the stud."""
    over = t.proof_share is not None and t.proof_share[1] > 1
    if t.preload_n is None or not (t.outside or over):
        return
    low, high = t.preload_n
    clamp = f"{_force(low, reader)} to {_force(high, reader)} in each stud (nut factor {NUT_FACTOR[1]:.2f} dry to {NUT_FACTOR[0]:.2f} oiled)"
    share = f", {t.proof_share[0]:.0%} to {t.proof_share[1]:.0%} of proof" if t.proof_share else ""
    yield f"It makes a clamp of about {clamp}{share}. Oil on the thread adds a third to the clamp at the same torque."
    if t.proof_share is None or t.tensile_share is None or not over:
        return
    if t.tensile_share[0] > 1:
        yield "Even dry that is past the tensile strength of this grade: the stud breaks before it gets there. Replace a stud that was tightened so."
    elif t.tensile_share[1] > 1:
        yield f"Oiled it is past the tensile strength of this grade and the stud breaks; dry it is at {t.proof_share[0]:.0%} of proof. Replace a stud that was tightened so."
    elif t.proof_share[0] > 1:
        yield "Even dry that is past proof: the stud is stretched for good. Replace a stud that was tightened so."
    else:
        yield "Oiled it is past proof and the stud is stretched for good: clean, dry threads only."


def _turned(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    t: Turned = w.result
    turn = f"A nut that turned {degrees(t.turned_rad):.0f}° at {miles(t.due_mi)}"
    if t.made_n is None:
        low, high = (_force(n, reader) for n in t.lost_n)
        means = (
            "that is more than such a stud holds, and the wheel was loose"
            if t.gone
            else "how much it had is not known"
        )
        yield f"{turn} had let go of {low} to {high} of clamp (grip assumed). No torque is published here for this stud; {means}."
        return
    made = f"{_force(t.made_n[0], reader)} to {_force(t.made_n[1], reader)} that the published torques for this stud make"
    if t.gone:
        yield f"{turn} had lost all of the {made}: it held nothing, and the wheel was loose."
        return
    least, most = (min(n, t.made_n[1]) for n in t.lost_n)
    some = f"{_force(least, reader)} to {_force(most, reader) if most < t.made_n[1] else 'all'}"
    along = length(t.settles_m, reader)
    none = f" Seats and paint settle up to {along} along the stud: this is {'more' if t.far else 'inside it; the next re-torque must find it still'}."
    if t.far and t.lost_n[1] >= t.made_n[0]:
        none = f"{none[:-1]}, and it may have had none left."
    yield f"{turn} had lost about {some} of its clamp (grip assumed), of the {made}.{none}"


def _paint(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    p: Painted = w.result
    low, high = (_force(n, reader) for n in p.lost_n)
    of = (
        f" of the {_force(p.made_n[0], reader)} to {_force(p.made_n[1], reader)} that the published torques make"
        if p.made_n
        else ""
    )
    yield f"Paint of {_fine(p.coat_m[0], reader).split()[0]} to {_fine(p.coat_m[1], reader)} under a nut or on the face flows out and takes about {low} to {high} from each stud{of}: bare faces (coat and grip assumed)."


def _end_play(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    p: Played = w.result
    low, heavy, most = (length(m, reader) for m in (p.least_m, p.heavy_m, p.most_m))
    yield f"End play {length(p.play_m, reader)} is inside one published range ({low} to {most}, light axles) and past another ({low} to {heavy}, written for heavy wheel ends). The axle's sheet decides; less play shares the load over more rollers."


def _warmer(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    h: Warmer = w.result
    over = apart(h.over_k, reader)
    drag = f"{_force(h.drag_n[0], reader, 0)} to {_force(h.drag_n[1], reader, 0)}"
    yield f"This hub is {over} over its mate: about {h.heat_w[0]:.0f} to {h.heat_w[1]:.0f} W more, as much as a drag of {drag} at the rim of the tire at 50 mph (film and area assumed): a shoe that touches or a tight bearing."


def _heat_note(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    h: Heated = w.result
    if h.bearing_only:
        yield f"Steel that shows a colour has been at {_heat(h.colour.low_k, reader)} or more: a nitrile seal and lithium grease give up near {_heat(GREASE_K, reader)}, so both are spent."
        return
    seen = f"The colour ({h.colour.colour}) says that this metal has been at {_heat(h.colour.low_k, reader)} or more, up to {_heat(h.colour.high_k, reader)}; on cast iron only a rough guide"
    if h.made_k is None:
        yield f"{seen}. Ask how it was braked: stops, grade and load say whether braking alone explains it."
        return
    if h.verdict == "cannot be":
        yield f"{seen}. The braking described is more than any lining lives through: ask again how many stops, from what speed, how far apart, and how heavy it was."
        return
    load = " at the axles' full rating (assumed)" if h.load_assumed else ""
    most = (
        f"{_heat(BEYOND_K, reader)} or more, past what linings live through"
        if h.made_k[1] > BEYOND_K
        else _heat(h.made_k[1], reader)
    )
    made = f"the braking described makes {_heat(h.made_k[0], reader)} to {most}{load}"
    means = {
        "explained": "braking alone explains it.",
        "not explained": "braking alone does not explain it: look for a dragging brake or a bearing.",
        "cannot say": "the two overlap, so it says nothing either way.",
    }
    yield f"{seen}; {made}: {means[h.verdict]}"


def _arc(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """New shoes in this drum where P4 asks; the old shoes in a new drum where the drum goes."""
    a: Arc = w.result
    rules = {r for c in ex.calls if c.position == w.position for r in (*c.rules, *c.milder)}
    if any(r.startswith("P4") for r in rules):
        yield f"New shoes, ground to {length(a.nominal_m, reader)}, touch this drum of {length(a.drum_m, reader)} over about {percent(a.new_touches_share)} of their arc at first (within {length(a.touch_m, reader)}); {rounded(a.new_wears_m, reader)} of lining wears away before they touch all over."
    drum_goes = any(
        c.position == w.position and c.part == "hub-drum" and c.call == "replace" for c in ex.calls
    )
    if drum_goes and any(r.startswith("P1") for r in rules):
        yield f"The old shoes, worn to {length(a.drum_m, reader)}, would sit on heel and toe in a new drum with {rounded(a.old_crown_gap_m, reader)} of air in the middle (a shoe of {a.arc_deg:.0f}° assumed)."


def _life(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    life: Life = w.result
    worst, low, high = min(
        ((life.inner.name, *life.inner_m), (life.outer.name, *life.outer_m)), key=lambda row: row[1]
    )
    load = "the axle's rating" if life.load_assumed else "the stated load"
    far = f"{miles(round(low / MILE_M, -3))} to {miles(round(high / MILE_M, -3))}"
    far = f"more than {miles(FAR_MI)}" if low / MILE_M > FAR_MI else far
    means = (
        "load alone did not wear it out: look at setting, grease, water and dirt"
        if low / MILE_M > COMFORT_MI
        else "the load is high for this bearing"
    )
    yield f"Under {load} nine in ten of {worst} last {far} (ISO 281, L10; split of the load assumed): {means}."


def _ring(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """The recording that tells most: never a clearance."""
    r: RingHeard = w.result
    hung = {True: "clean and hung free", False: "not hung free", None: "how it hung is not recorded"}[r.hung]
    yield f"Recording {r.clip}, drum {hung}: {r.verdict}."
    if r.p is not None:
        yield f"{so_dull(r.p).capitalize()} so dull or duller."
    yield "Set on simulated drums. A good ring never clears a drum: eyes and fingernail decide."


def _mark(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """What a photo shows, and what a person felt there."""
    m: MarkSeen = w.result
    size = (
        "" if m.end_to_end_mm is None else f"{m.end_to_end_mm:.1f} ± {m.plus_minus_mm or 0:.1f} mm end to end"
    )
    yield f"Photo {m.photo}: {m.seen or size or m.pattern or 'measured'}."
    if m.felt and m.felt_by:
        yield f"{m.felt_by} drew a fingernail across it: {'it catches' if m.felt == 'catches' else 'nothing catches'}."
    else:
        yield "Nobody has drawn a fingernail across it and signed for it."
    yield "A photo shows no depth: it neither condemns a part nor clears it."


Sayer = Callable[[Worked, Examination, Reader], Iterator[str]]
SAY: Mapping[str, tuple[str, Sayer]] = {
    "band": ("friction band by dial", worked_form.band),
    "oval": ("friction band by diameters", worked_form.oval),
    "hub face": ("hub face by dial", worked_form.flat),
    "magnet face": ("magnet face by dial", worked_form.flat),
    "cup": ("cup in its bore", _cup),
    "torque": ("wheel-nut torque", _torque_note),
    "paint": ("paint under the clamp", _paint),
    "end play": ("end play", _end_play),
    "hub heat": ("hub against its mate", _warmer),
    "nut turned": ("nut that turned", _turned),
    "heat": ("heat colour", _heat_note),
    "ring": ("ring test", _ring),
    "mark": ("photo of a mark", _mark),
    "wire": ("the brake wire", worked_electric.wire),
    "leg": ("feed of this magnet", worked_electric.leg),
    "legs": ("where the current goes", worked_electric.legs),
    "arc": ("shoes against drum", _arc),
    "bearing life": ("bearing life", _life),
}


def _fine(size_m: float, reader: Reader) -> str:
    """A bore or a press: a digit more than other sizes."""
    return rounded(size_m, Reader(reader.length, reader.digits + 1))


def _span(low_m: float, high_m: float, reader: Reader) -> str:
    """'0.0005 to 0.0030 in'."""
    return f"{_fine(low_m, reader).split()[0]} to {_fine(high_m, reader)}"


def _torque(torque_n_m: float, reader: Reader) -> str:
    return f"{torque_n_m:.0f} N m" if reader.length == "mm" else f"{from_si(torque_n_m, 'ft-lb'):.0f} ft-lb"


def _force(force_n: float, reader: Reader, to: int = -2) -> str:
    """A force, rounded to hundreds of pounds, or to pounds (`to` 0)."""
    if reader.length == "mm":
        return f"{force_n / 1e3:.0f} kN" if to < 0 else f"{force_n:.0f} N"
    return f"{round(from_si(force_n, 'lbf'), to):,.0f} lbf"


def _heat(kelvin: float, reader: Reader) -> str:
    return f"{from_si(kelvin, 'C'):.0f} C" if reader.length == "mm" else f"{from_si(kelvin, 'F'):.0f} F"
