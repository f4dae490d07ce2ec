"""Zip, vent and slit: getting in, and walking."""

from __future__ import annotations

from dataclasses import replace

from ...body.estimates import estimate
from ...body.measurements import Measurements
from ...draft.worksheet import Worksheet
from ...errors import DraftError
from ...geometry.path import solve
from ...model.draft import Step, Zip
from ...model.walking import VENT_STEP, Walk, opening_serves, shortest_opening
from ...units import INCH, Unit, show
from .half import Half
from .style import Asked


def girth_at(front: Half, back: Half, depth: float) -> float:
    return 2 * (front.width_at(depth) + back.width_at(depth))


def draft_zip(body: Measurements, asked: Asked, front: Half, back: Half) -> tuple[Zip, list[Step]]:
    """The zip opens the back down to where the dress is as wide as the hip, rounded up to 1/2 in of zip."""
    w = Worksheet("back")
    neck = -back.points["neck_centre"].y
    given = asked.given("zip_length")
    if given is not None:
        end = w("zip end, down", "back neck depth + {zip} as asked for", neck + given, zip=given)
        return Zip(neck, end), w.steps
    waist = -front.points["waist_side"].y
    hip = body["hip_girth"]
    if girth_at(front, back, waist) >= hip:
        reach = waist
    elif girth_at(front, back, front.hip_depth) <= hip + 1e-6:
        reach = front.hip_depth
    else:
        reach = solve(lambda depth: girth_at(front, back, depth) - hip, waist, front.hip_depth, near=1e-4)
    half_inch = INCH / 2
    length = -(-(reach - neck - 1e-6) // half_inch) * half_inch
    w("zip", "back neck to where the dress is as wide as the hip, up to the next {half}", length, half=half_inch)
    end = w("zip end, down", "back neck depth + zip", neck + length)
    return Zip(neck, end), w.steps


def draft_walk(
    body: Measurements, asked: Asked, unit: Unit, front: Half, back: Half, zipper: Zip, notes: list[str]
) -> tuple[Walk, list[Step]]:
    """Vent, slit or none, and how long: the shortest that lets her walk, in whole inches, 6 in at least."""
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
    highest = max(zipper.end_depth + 100, front.hip_depth)
    walk = Walk(
        stature=stature,
        top_height=waist_height - front.points["waist_side"].y,
        hem_depth=front.hem_depth,
        leg_girths=tuple(legs),
        opening=kind,
        opening_length=0.0,
        highest_opening_depth=highest,
        assumed=tuple(assumed),
    )
    if kind == "none":
        return walk, w.steps

    def girth(depth: float) -> float:
        return girth_at(front, back, depth)

    given = asked.given("opening_length")
    if given is not None:
        if given > front.hem_depth - zipper.end_depth - 20:
            most = show(front.hem_depth - zipper.end_depth - 100, unit)
            raise DraftError(
                f"back: the {kind}, {show(given, unit)}, would reach the zip, which ends "
                f"{show(zipper.end_depth, unit)} down. Make opening_length {most} or less."
            )
        length = w(f"{kind}, from the hem up", "as asked for", given)
        return replace(walk, opening_length=length), w.steps
    shortest = shortest_opening(walk, girth)
    if shortest is None:
        whole = (front.hem_depth - highest) // INCH * INCH
        if whole < 4 * INCH:
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
