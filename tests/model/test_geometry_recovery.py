"""The dimensions give the truth back, whatever the drawing looks like."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from model.geometry import settle

Cases = Callable[..., Any]


@pytest.mark.parametrize("block", range(10))
def test_a_distorted_photo_and_sufficient_dimensions_give_the_truss(
    case: Cases, block: int
) -> None:
    """500 trusses of 3 to 60 members, drawn 15 % off and photographed askew."""
    for seed in range(50 * block, 50 * block + 50):
        rng = np.random.default_rng(seed)
        truth = case(rng, int(rng.integers(3, 61)), extra=0.1 * (seed % 3))
        geometry = settle(truth.job, assume=False)
        size = np.ptp(truth.points, axis=0).max()
        assert geometry.freedoms == 0, seed
        assert geometry.settled, seed
        assert np.abs(geometry.points - truth.points).max() < 1e-8 * size, seed


@pytest.mark.parametrize("seed", range(40))
def test_open_freedoms_are_those_of_the_generic_rank(case: Cases, seed: int) -> None:
    rng = np.random.default_rng(1000 + seed)
    truth = case(rng, int(rng.integers(5, 40)))
    left_out = int(rng.integers(1, 4))
    kept = [d for d in truth.job.dimensions if d.kind == "length"]
    kept = kept[: max(len(kept) - left_out, 0)]
    job = truth.job.model_copy(update={"dimensions": kept})
    geometry = settle(job, assume=False)
    names = {name: position for position, name in enumerate(truth.job.joints)}
    generic = rng.normal(size=truth.points.shape)
    rows = np.zeros((len(kept), generic.size))
    for row, dimension in zip(rows, kept, strict=True):
        a, b = (names[joint] for joint in dimension.joints)
        row[2 * a : 2 * a + 2] = generic[a] - generic[b]
        row[2 * b : 2 * b + 2] = generic[b] - generic[a]
    rank = np.linalg.matrix_rank(rows) if kept else 0
    rigid = 3 if kept else 4  # without any length the scale is datum as well
    assert geometry.freedoms == generic.size - rank - rigid
    assert len(geometry.open_motions) == geometry.freedoms
    assert geometry.settled == (geometry.freedoms == 0)


@pytest.mark.parametrize("seed", range(25))
def test_the_next_dimensions_settle_everything_and_none_is_too_many(case: Cases, seed: int) -> None:
    rng = np.random.default_rng(2000 + seed)
    truth = case(rng, int(rng.integers(5, 30)))
    names = {name: position for position, name in enumerate(truth.job.joints)}
    kept = truth.job.dimensions[: len(truth.job.dimensions) // 2]
    geometry = settle(truth.job.model_copy(update={"dimensions": kept}), assume=False)
    wanted = geometry.freedoms + (not geometry.scale_settled)
    assert len(geometry.next_dimensions) == wanted
    added = []
    for suggestion in geometry.next_dimensions:
        a, b = (truth.points[names[joint]] for joint in suggestion.dimension.joints)
        length = float(np.hypot(*(a - b)))
        added.append(suggestion.dimension.model_copy(update={"value": length}))
    job = truth.job.model_copy(update={"dimensions": [*kept, *added]})
    assert settle(job, assume=False).freedoms == 0


@pytest.mark.parametrize("seed", range(20))
def test_open_motions_keep_every_length_to_first_order(case: Cases, seed: int) -> None:
    rng = np.random.default_rng(3000 + seed)
    truth = case(rng, int(rng.integers(5, 30)), only=("length",), extra=0.0)
    kept = truth.job.dimensions[:-3]
    geometry = settle(truth.job.model_copy(update={"dimensions": kept}), assume=False)
    at = dict(zip(geometry.joints, geometry.points, strict=True))
    assert geometry.open_motions
    for motion in geometry.open_motions:
        moved = {joint: np.array(motion.get(joint, (0.0, 0.0))) for joint in at}
        assert max(np.hypot(*move) for move in moved.values()) == pytest.approx(1.0)
        for dimension in kept:
            a, b = dimension.joints
            stretch = (at[b] - at[a]) @ (moved[b] - moved[a])
            assert abs(stretch) < 1e-6 * np.hypot(*(at[b] - at[a]))


@pytest.mark.parametrize("seed", range(20))
def test_mirror_images_are_not_swapped(case: Cases, seed: int) -> None:
    """The same lengths drawn the other way round give the other image."""
    rng = np.random.default_rng(4000 + seed)
    truth = case(rng, int(rng.integers(3, 25)), only=("length", "horizontal", "vertical"))
    flipped = {
        name: joint.model_copy(update={"pixel": (-joint.pixel[0], joint.pixel[1])})
        for name, joint in truth.job.joints.items()
    }
    geometry = settle(truth.job.model_copy(update={"joints": flipped}), assume=False)
    size = np.ptp(truth.points, axis=0).max()
    assert np.abs(geometry.points - truth.points * (-1, 1)).max() < 1e-8 * size
