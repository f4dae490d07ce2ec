"""Faults of fit, mended: what they keep, what they tell, what they refuse."""

from __future__ import annotations

import pytest

from fitted import BODY, drafted, faults, sewn
from oaktag.errors import DraftError
from oaktag.model.fitted import Ask
from wardrobe import finished


@pytest.mark.parametrize("name", ["bodice", "straight-skirt"])
def test_a_sway_back_is_taken_out_at_the_waist_seam_and_the_sides_stay(name: str) -> None:
    # common practice, no source: centre back shorter by what was pinched, side seams as they were
    plain, fitted = drafted(name, BODY), drafted(name, BODY, Ask("sway_back", 10.0))
    assert sewn(plain, "back.centre_back") - sewn(fitted, "back.centre_back") == pytest.approx(10.0, abs=0.1)
    assert sewn(fitted, "back.side") == pytest.approx(sewn(plain, "back.side"), abs=0.05)
    assert faults(finished(fitted)) == faults(finished(plain))


def test_what_a_garment_has_no_place_for_is_refused() -> None:
    with pytest.raises(DraftError, match="no waist line"):
        drafted("t-shirt", BODY, Ask("sway_back", 10.0))
