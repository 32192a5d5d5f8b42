"""How far apart the cards of a sheet lie."""

from fractions import Fraction

import pytest

from watcher.layout.geometry import Size
from watcher.layout.lanes import narrowest_lane
from watcher.layout.lay_out import lay_out


@pytest.mark.parametrize("gutter", ["0", "0.5", "2", "6.35"])
def test_neighbours_lie_a_gutter_apart(make_request, gutter):
    request = make_request(trim=Size(Fraction(60), Fraction(90)), gutter=Fraction(gutter))
    assert narrowest_lane(lay_out(request)) == Fraction(gutter)


def test_a_card_alone_has_no_lane(make_request):
    assert narrowest_lane(lay_out(make_request(trim=Size(Fraction(150), Fraction(200))))) is None
