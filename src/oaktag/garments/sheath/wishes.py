"""Common words of the trade that are no names of this garment, and what serves the wish today; or that nothing does.

Asked for where a job names an option, a measurement or an edge that there is none of. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

_SERVED: Final = """
sway_back swayback hollow_back: There is none for a hollow back: pin a fold across the back waist of the trial,
    nothing at the side seams, and take it out of the paper pattern
round_back rounded_back dowager broad_back: There is none for a round or broad back: pin it on the trial, and take it
    over to the paper pattern
sloping_shoulders sloping_shoulder square_shoulders square_shoulder shoulder_pads shoulder_pad: Write shoulder_drop
    below [style]: more for sloping shoulders, less for square ones or a pad
full_bust large_bust bust_adjustment cup cup_size: Write bust_dart = "side" below [style], and front_waist_length
    below [measurements]
belly tummy full_tummy full_seat: There is none: pin it on the trial, and take it over to the paper pattern
ease fit wearing_ease looser tighter: Write ease_bust, ease_waist or ease_hip below [style]
sleeve_width sleeve_ease biceps_ease: Write ease_biceps below [style]
letout let_out inlay inlays seam_allowance seam_allowances turnings turning: Write the width beside the stitch line by
    edge below [allowances], such as side = "2 in" or "5 cm" to let out later
turn_up hem_allowance hem_depth: Write hem below [allowances]
side_seam side_seams: Write side below [allowances]
dart darts: Write dart_intake and waist_darts below [style] for the waist darts, bust_dart for one at the side
skirt skirt_shape skirt_style silhouette: Write hem = "pegged", "straight" or "a-line" below [style] for its shape,
    and length for where it ends; it is a piece of its own with waist_seam = "yes"
skirt_length dress_length total_length maxi midi mini: Write length below [style]: from the top line to the hem
skirt_width hem_width fullness flared full_skirt circle_skirt: Write hem = "a-line" below [style], and flare for what
    each side seam gains
pencil_skirt pencil pegging hem_narrowing: Write hem = "pegged" below [style]
kick_pleat split side_slit back_slit: Write opening = "vent" or "slit" below [style]; its height is opening_length
neck_shape scoop scoop_neck crew_neck: Write neckline = "round" below [style], and front_neck_depth
sweetheart halter cowl off_shoulder strapless straps: There is none: neckline is round, v, square or boat
sleeveless: Write sleeve = "none" below [style]
armhole_ease scye armscye: Write armhole_depth_ease below [style] for its depth, armhole_hollow for its curve
zipper zip_fastener fastener fastening closure: Write zip = "back", "side" or "none" below [style]
button buttons button_stand placket wrap: There is none: this garment opens with a zip
pocket pockets: There is none: this garment is drafted without pockets
collar collars: There is none: this garment is drafted without a collar
cuff cuffs: There is none: this garment is drafted without cuffs
hood: There is none: this garment is drafted without a hood
waistband belt sash: There is none: this garment is drafted without a waistband
yoke yokes: There is none: this garment is drafted without a yoke
princess princess_seam princess_seams panels: There is none: this garment is drafted without panel seams: it is shaped
    by darts
gather gathers gathering ruffle ruffles frill flounce pleat pleats tuck tucks: There is none: this garment is drafted
    without gathers or pleats
stretch knit jersey negative_ease: There is none: it is for woven cloth that does not stretch
"""
"""Words that mean one thing, and what serves it; a row goes on set in."""

WISHES: Final[Mapping[str, str]] = MappingProxyType({
    word: serves
    for row in re.sub(r"\n +", " ", _SERVED.strip()).splitlines()
    for words, serves in (row.split(": ", 1),)
    for word in words.split()
})  # fmt: skip
