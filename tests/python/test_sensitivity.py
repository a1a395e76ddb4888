"""Global sensitivity over distributions."""

import nockwise
import numpy as np
import pytest
from scipy import stats  # type: ignore[import-untyped]

PATHS = ("string.nocking_point", "rest.center_shot")
OUTPUTS = ["paper_tear.up"]


def test_a_uniform_distribution_is_a_range(setup: nockwise.Setup) -> None:
    ranges = dict.fromkeys(PATHS, (-0.001, 0.001))
    uniform = dict.fromkeys(PATHS, stats.uniform(-0.001, 0.002))
    by_range = nockwise.sensitivity(setup, ranges, outputs=OUTPUTS, samples=8, progress=False)
    by_law = nockwise.sensitivity(setup, uniform, outputs=OUTPUTS, samples=8, progress=False)
    assert by_law.attrs["Conventions"] == "CF-1.11"
    for index in ("S1", "ST"):
        # The same samples but for the last bits of the inverse.
        np.testing.assert_allclose(by_law[index].values, by_range[index].values, atol=1e-6)


def test_shares_follow_the_widths(setup: nockwise.Setup) -> None:
    """A parameter that is hardly spread has no share, whatever the other's distribution."""
    law = {PATHS[0]: stats.norm(0.0, 1e-6), PATHS[1]: stats.norm(0.0, 0.001)}
    found = nockwise.sensitivity(setup, law, outputs=["paper_tear.right"], samples=16, progress=False)
    assert float(found["ST"].sel(parameter=PATHS[0], output="paper_tear.right")) < 0.01
    assert float(found["ST"].sel(parameter=PATHS[1], output="paper_tear.right")) > 0.8


def test_ranges_and_distributions_go_together(setup: nockwise.Setup) -> None:
    mixed = {PATHS[0]: stats.truncnorm(-2, 2, 0.0, 0.001), PATHS[1]: ("-1 mm", "1 mm")}
    found = nockwise.sensitivity(setup, mixed, outputs=OUTPUTS, method="morris", samples=4, progress=False)
    assert found["parameter"].values.tolist() == list(PATHS)
    height = found["mu_star"].sel(output="paper_tear.up")
    assert float(height.sel(parameter=PATHS[0])) > float(height.sel(parameter=PATHS[1]))


def test_what_has_no_ends_or_no_number_is_refused(setup: nockwise.Setup) -> None:
    endless = {PATHS[0]: stats.norm(0.0, 0.001), PATHS[1]: (-0.001, 0.001)}
    with pytest.raises(nockwise.InputError, match="with ends"):
        nockwise.sensitivity(setup, endless, outputs=OUTPUTS, method="morris", samples=4, progress=False)
    with pytest.raises(nockwise.InputError, match=r"rest\.kind"):
        nockwise.sensitivity(setup, {"rest.kind": stats.norm(0.0, 1.0)}, outputs=OUTPUTS, samples=4, progress=False)
