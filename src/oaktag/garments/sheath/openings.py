"""Zip, vent and slit: getting in, and walking."""

from __future__ import annotations

from typing import Final

from ...body.estimates import estimate
from ...body.measurements import Measurements
from ...draft.construct import trimmed
from ...draft.worksheet import Worksheet
from ...errors import DraftError
from ...geometry.path import path_length, solve
from ...model.draft import Entry, Step, Zip
from ...model.ref import Ref
from ...model.walking import VENT_STEP, Walk, opening_serves, shortest_opening
from ...units import INCH, Unit, rounded, show, show_at_most
from ...values import replace
from .half import Half
from .style import Asked
HEAD = 550.0

METRIC_ZIPS: Final = 50.0
"""Zips are sold in lengths that differ by 5 cm, mm (common practice, no source)."""


def girth_at(front: Half, back: Half, depth: float) -> float:
    return 2 * (front.width_at(depth) + back.width_at(depth))


def draft_zip(body: Measurements, asked: Asked, unit: Unit, front: Half, back: Half) -> tuple[Zip | None, list[Step]]:
    """The zip opens the dress down to where it is as wide as the hip, rounded up to 1/2 in of zip, or to 5 cm.

    At the centre back it starts at the neck, at the side 1 in (2.5 cm) below the underarm.
    """
    w = Worksheet("back")
    place = asked.choice("zip")
    if place == "none":
        return None, w.steps
    at_side = place == "side"
    below = rounded(INCH, unit)
    top = -front.points["underarm"].y + below if at_side else -back.points["neck_centre"].y
    start = f"{show(below, unit)} below the underarm" if at_side else "back neck"
    words = "side" if at_side else "centre back"
    deepest = -front.points["hem_side"].y - 50

    def along(depth: float) -> float:
        """Length of zip from its top down to a depth."""
        return path_length(trimmed(front.side, -top, -depth)) if at_side else depth - top

    def depth_of(length: float) -> float:
        return solve(lambda depth: along(depth) - length, top, deepest, near=1e-4) if at_side else top + length

    given = asked.given("zip_length")
    if given is not None:
        if given > along(deepest):
            raise DraftError(
                f"back: a zip of {show(given, unit)} at the {words} would reach the hem. Make zip_length "
                f"{show_at_most(along(deepest), unit)} or less."
            )
        end = w("zip end, down", f"{start} + {{zip}} as asked for", depth_of(given), zip=given)
        return Zip(top, end, given, words), w.steps
    waist = -front.points["waist_side"].y
    hip = body["hip_girth"]
    if girth_at(front, back, waist) >= hip:
        reach = waist
    elif girth_at(front, back, front.depth("hip_side")) <= hip + 1e-6:
        reach = front.depth("hip_side")
    else:
        reach = solve(lambda depth: girth_at(front, back, depth) - hip, waist, front.depth("hip_side"), near=1e-4)
    step = INCH / 2 if unit == "in" else METRIC_ZIPS
    length = -(-(along(reach) - 1e-6) // step) * step
    w("zip", f"{start} to where the dress is as wide as the hip, up to the next {{step}}", length, step=step)
    end = w("zip end, down", f"{start} + zip", depth_of(length))
    return Zip(top, end, length, words), w.steps


def draft_entry(
    body: Measurements, asked: Asked, unit: Unit, neck_edges: tuple[Ref, ...], notes: list[str]
) -> Entry | None:
    """Without a zip to the neck the head must pass the neckline; without any, bust and hip must pass the waist."""
    if asked.choice("zip") == "back":
        return None
    head = body.get("head_girth")
    words = "as measured"
    if head is None:
        head, words = HEAD, f"not measured, so taken as {show(HEAD, unit)} (mean of women, common practice, no source)"
        notes.append(
            f"head_girth was not measured; assumed {show(HEAD, unit)} (mean of women, common practice, no source)."
        )
    through = max(body["bust_girth"], body["hip_girth"]) if asked.choice("zip") == "none" else None
    return Entry(neck_edges, head, words, through)


def draft_walk(
    body: Measurements, asked: Asked, unit: Unit, front: Half, back: Half, zipper: Zip | None, notes: list[str]
) -> tuple[Walk, list[Step]]:
    """Vent, slit or none, and how long: the shortest that lets her walk, in whole inches from 6 in, or cm from 15."""
    assumed: list[str] = []
    known = dict(body)

    def need(name: str) -> float:
        if name not in known:
            guess = estimate(name, Measurements(known), unit)
            assumed.append(guess.words)
            known[name] = guess.value
        return known[name]

    stature, waist_height = need("stature"), need("waist_height")
    legs = sorted(
        (
            (need("ankle_height"), need("ankle_girth")),
            (0.72 * need("knee_height"), need("calf_girth")),
            (need("knee_height"), need("knee_girth")),
            (need("crotch_height"), need("thigh_girth")),
        )
    )
    w = Worksheet("back")
    kind = asked.choice("opening")
    if kind == "auto":
        kind = "vent" if asked.choice("hem") == "pegged" else "none"
    zip_end = zipper.end_depth if zipper is not None and zipper.place == "centre back" else 0.0
    highest = max(zip_end + 100, front.depth("hip_side"))
    walk = Walk(
        stature=stature,
        top_height=waist_height - front.points["waist_side"].y,
        hem_depth=front.depth("hem_centre"),
        leg_girths=tuple(legs),
        opening=kind,
        opening_length=0.0,
        highest_opening_depth=highest,
        assumed=tuple(assumed),
        flare_rise=front.depth("hem_centre") + front.points["hem_side"].y,
    )
    if kind == "none":
        return walk, w.steps

    def girth(depth: float) -> float:
        return girth_at(front, back, depth)

    given = asked.given("opening_length")
    if given is not None:
        if given > front.depth("hem_centre") - highest + 80:
            most = show(front.depth("hem_centre") - highest, unit)
            raise DraftError(
                f"back: the {kind}, {show(given, unit)}, would reach too near the zip or the hip, "
                f"{show(highest, unit)} down. Make opening_length {most} or less."
            )
        length = w(f"{kind}, from the hem up", "as asked for", given)
        return replace(walk, opening_length=length), w.steps
    shortest = shortest_opening(walk, girth, unit=unit)
    if shortest is None:
        step = INCH if unit == "in" else 10.0
        whole = (front.depth("hem_centre") - highest) // step * step
        if whole < rounded(4 * INCH, unit):
            notes.append(
                f"There is no room for a {kind} between the zip and the hem, so none was drafted. Lengthen the dress, "
                'or choose hem = "straight".'
            )
            return replace(walk, opening="none"), w.steps
        length = w(f"{kind}, from the hem up", "the longest that stays clear of zip and hip", whole)
    else:
        length = w(f"{kind}, from the hem up", "the shortest that allows a step of {step}", shortest, step=VENT_STEP)
    walk = replace(walk, opening_length=length)
    assert shortest is None or opening_serves(walk, girth, length)
    if kind == "vent":
        w("vent extension", "beyond the centre back", asked.length("vent_width"))
    return walk, w.steps
