"""The timber asked for: what is laid out for it, and what cannot be asked."""

import math

import pytest

from pithline.errors import InputError, TimberError
from pithline.fit import Timber


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"thickness_mm": math.nan}, "every size must be a finite number"),
        ({"width_mm": math.inf}, "every size must be a finite number"),
        ({"thickness_mm": 0.0}, "is no timber"),
        ({"width_mm": 2_500.0}, "must lie between"),
        ({"length_mm": 50.0}, "timber length: .* between 100 mm and 40 m"),
        ({"sawn_faces": 1}, "sawn faces: 1; a timber has 2, 3 or 4"),
        ({"allowance_mm": -1.0}, "allowance: .* between 0 and 75 mm"),
        ({"wane_mm": 60.0}, "wane: .* half the smaller side"),
        ({"wane_mm": -1.0}, "wane: "),
        ({"heart_margin_mm": -1.0}, "heart margin: .* between 0 and 300 mm"),
        ({"heart": "boxed", "heart_margin_mm": 50.0}, "leaves no room for the pith"),
    ],
)
def test_a_timber_that_cannot_be_cut_is_refused(asked, told):
    with pytest.raises(TimberError, match=told):
        Timber(**{"thickness_mm": 100.0, "width_mm": 150.0, **asked})
    assert issubclass(TimberError, InputError)


@pytest.mark.parametrize(("faces", "width"), [(2, 150.0), (3, 155.0), (4, 160.0)])
def test_the_allowance_goes_on_sawn_faces_alone(faces, width):
    timber = Timber(100.0, 150.0, sawn_faces=faces, allowance_mm=5.0)
    assert timber.cut_thickness_mm == 110.0
    assert timber.cut_width_mm == width
