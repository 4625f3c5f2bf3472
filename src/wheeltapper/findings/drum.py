"""The drum by its numbers: size against its limit, form, grooves, pits, wear (C1 to C8)."""

from __future__ import annotations

from dataclasses import replace

from wheeltapper.findings.bench import REPEATS, Bench, Held
from wheeltapper.findings.facts import Fact, Gauged, Key, Sized
from wheeltapper.findings.worn import over_time
from wheeltapper.measure import diameter, margin, wear
from wheeltapper.units import above, at_most

SIZE = "friction diameter"
DIRECTIONS = 4  # at one depth, for out-of-round (C2)


def find(bench: Bench, looks: dict[Key, Fact]) -> tuple[list[Fact], list[Gauged]]:
    """Facts and sizes of the drum at one corner."""
    taken = bench.taken(SIZE)
    nominal = bench.tables.drums.get(bench.visit.unit.drum or "")
    facts = [*_depths(bench, looks), *_form(bench, taken)]
    names = bench.tables.checks[SIZE].facts
    size_names = [n for n in names if n not in {"drum.out_of_round", "drum.bell_mouth", "drum.barrel"}]
    if not taken or nominal is None:
        bottom = bench.taken("groove depth") or bench.taken(
            "pit depth"
        )  # 'rest fine' speaks for the surface alone
        return [*facts, *bench.facts(SIZE, dict.fromkeys(size_names), vouch=not bottom)], []
    gauged, answers = _size(bench, taken, nominal)
    answers = {**dict.fromkeys(size_names, False), **answers}
    return [*facts, *bench.facts(SIZE, answers, gauged), _worn(bench, gauged)], [gauged] if gauged else []


def _depths(bench: Bench, looks: dict[Key, Fact]) -> list[Fact]:
    """Grooves, pits and the magnet face by their depth."""
    out = _owed(bench, "groove depth", _two_steps(bench, "groove depth", "drum.grooves", "groove"), looks)
    for check in ("pit depth", "pit share"):
        out += _owed(bench, check, _pits(bench, check), looks)
    if bench.visit.unit.brake != "electric drum":
        return out
    face = _two_steps(bench, "magnet face depth", "magnet_face", "magnet_face")
    return out + _owed(bench, "magnet face depth", face, looks)


def _two_steps(bench: Bench, check: str, family: str, row: str) -> list[Fact]:
    """A depth that is kept up to one figure and replaced past another; between them the owner decides."""
    join = "_" if family == "drum.grooves" else "."
    names = f"{family}{join}deep", f"{family}{join}medium"
    worst = _deepest(bench, check)
    if worst is None:
        return bench.facts(check, dict.fromkeys(names))
    keep, most = bench.tables.number(f"{row}_keep"), bench.tables.number(f"{row}_most")
    deep = above(worst.size, most)
    medium = not deep and above(worst.size, keep)
    return [
        *bench.facts(check, {names[0]: deep}, size=worst.size, against=most),
        *bench.facts(check, {names[1]: medium}, size=worst.size, against=keep),
    ]


def _pits(bench: Bench, check: str) -> list[Fact]:
    """Pits count against a drum where they are deep and cover more than a share of the band."""
    pit, share = _deepest(bench, "pit depth"), _deepest(bench, "pit share")
    most = bench.tables.number("pit_depth")
    pits: bool | None = None
    if (pit and not above(pit.size, most)) or (
        share and not above(share.size, bench.tables.number("pit_share"))
    ):
        pits = False
    elif pit and share:
        pits = True
    size = (pit.size, most) if pit and check == "pit depth" else (None, None)
    return bench.facts(check, {"drum.pits_deep": pits}, size=size[0], against=size[1])


def _owed(bench: Bench, check: str, facts: list[Fact], looks: dict[Key, Fact]) -> list[Fact]:
    """A depth is owed only where the look found something to measure."""
    seen = looks.get((bench.position, bench.tables.checks[check].only_if))
    if seen is None or bench.taken(check) or bench.doubted(check):
        return facts
    if seen.answer is False:
        return [replace(f, answer=False, evidence=seen.evidence, by=seen.by) for f in facts]
    return [replace(f, answer=None, evidence=None, optional=False) for f in facts]


def _deepest(bench: Bench, check: str) -> Sized | None:
    return max(bench.taken(check), key=lambda s: s.size, default=None)


def _form(bench: Bench, taken: tuple[Sized, ...]) -> list[Fact]:
    """Out-of-round, taper and barrel (C2, C3). Differences of one gauge in one go: its own offset cancels."""
    middle = [s.size for s in taken if s.at.startswith("mid")]
    opened = [s.size for s in taken if s.at.startswith("open")]
    closed = [s.size for s in taken if s.at.startswith("closed")]
    enough = len({s.at for s in taken if s.at.startswith("mid")}) >= DIRECTIONS
    off_round = (diameter.out_of_round_m if enough else diameter.spread_m)(middle) if middle else None
    taper = abs(diameter.taper_m(opened, closed)) if opened and closed else None
    barrel = abs(diameter.barrel_m(middle, opened, closed)) if middle and opened and closed else None
    return [
        *_form_fact(bench, "drum.out_of_round", off_round, "out_of_round", enough),
        *_form_fact(bench, "drum.bell_mouth", taper, "taper", True),
        *_form_fact(bench, "drum.barrel", barrel, "taper", True),
    ]


def _form_fact(bench: Bench, name: str, size: float | None, row: str, enough: bool) -> list[Fact]:
    """Past the limit counts on few readings; within it only when enough were taken with a gauge that could see it."""
    most = bench.tables.number(row)
    past = None if size is None else above(size, most)
    blind = any(
        above(2 * s.doubt, most) for s in bench.taken(SIZE)
    )  # two readings may differ so much for nothing
    answer = None if blind else past if past or enough else None
    return bench.facts(SIZE, {name: answer}, size=size, against=most, vouch=not blind)


def _size(
    bench: Bench, taken: tuple[Sized, ...], nominal: float
) -> tuple[Gauged | None, dict[str, bool | None]]:
    """The governing size against its limit."""
    first = [s for s in taken if s.at != "repeat"] or list(taken)
    worst = max(first, key=lambda s: (s.size, s.doubt))
    held = bench.limit(SIZE, bench.window, False, "drum_max", bench.visit.unit.drum)
    surface: dict[str, bool | None] = {
        "drum.over_pair_size": above(worst.size - nominal, bench.tables.number("pair_size")),
        "drum.over_arc_size": above(worst.size - nominal, bench.tables.number("arc_size")),
    }
    if held is None:
        return None, surface | {"drum.limit_unknown": True}
    size, doubt = _at_bottom(bench, worst.size, worst.doubt)
    answers, settled = _against(bench, held, size, doubt, [s for s in taken if s.at == "repeat"])
    size, doubt = settled or (size, doubt)
    gauged = replace(_gauged(bench, held, worst, size, doubt, nominal), readings=taken)
    aged = over_time(bench, gauged, worst)
    over_time_answers: dict[str, bool | None] = {
        "drum.smaller_than_before": aged.contradicts, "drum.remaining_short": aged.short, "drum.none_left": aged.none_left,
        "drum.wears_faster": aged.gauged.faster,
    }  # fmt: skip
    return aged.gauged, surface | answers | over_time_answers


def _at_bottom(bench: Bench, surface: float, doubt: float) -> tuple[float, float]:
    """Size and doubt at the bottom of the deepest groove or pit (C1)."""
    depths = [*bench.taken("groove depth"), *bench.taken("pit depth")]
    if not depths:
        return surface, doubt
    deepest = max(depths, key=lambda s: (s.size, s.doubt))
    return diameter.at_groove_bottom_m(surface, deepest.size), diameter.doubt_at_groove_bottom_m(
        doubt, deepest.doubt
    )


def _against(
    bench: Bench, held: Held, size: float, doubt: float, repeats: list[Sized]
) -> tuple[dict[str, bool | None], tuple[float, float] | None]:
    """What the size says against the limit (C6), and the size that repeats have settled on, if they have."""
    if held.grade == "assumed":
        near = not at_most(size + doubt, held.value - bench.tables.number("assumed_margin"))
        sought = near and bench.visit.limit_sought_by is not None
        return {"drum.near_assumed_limit": near and not sought, "drum.cannot_be_shown_fit": sought}, None
    stands = margin.verdict(size, doubt, held.value)
    if stands != "at the limit":
        return {"drum.over_limit": stands == "over"}, None
    if len(repeats) < REPEATS:
        return {"drum.at_limit": True}, None
    again = max(repeats, key=lambda s: (s.size, s.doubt))
    settled = _at_bottom(bench, again.size, again.doubt)
    stands = margin.verdict(*settled, held.value)
    return {"drum.over_limit": stands == "over", "drum.at_limit_repeated": stands == "at the limit"}, settled


def _gauged(bench: Bench, held: Held, worst: Sized, size: float, doubt: float, nominal: float) -> Gauged:
    return Gauged(
        bench.position, SIZE, "hub-drum", size, doubt, worst.unit, held.value, False, held.grade, held.source, held.id,
        margin.verdict(size, doubt, held.value), margin.conformance_share(size, doubt, held.value), nominal,
        wear.used_share(size, nominal, held.value), also=held.also,
    )  # fmt: skip


def _worn(bench: Bench, gauged: Gauged | None) -> Fact:
    worn = None if gauged is None or gauged.used_share is None else gauged.used_share >= 0.5
    return Fact(bench.position, "drum.worn", worn, "worked out", check=SIZE, optional=True)
