"""What the network is taught from: turnings that are turnings, joints where the drawn body is, the same from one seed."""  # noqa: E501

import importlib.util
import shutil

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from training import scenes


def test_rotations_agree_with_scipy():
    # Second engine: scipy's Rotation, whose quaternions have w last
    q = Rotation.random(200, random_state=3).as_quat()
    ours = scenes.matrices(np.roll(q, 1, axis=-1))
    assert np.abs(ours - Rotation.from_quat(q).as_matrix()).max() < 1e-12
    assert np.abs(scenes.matrices(scenes.quaternion(ours)) - ours).max() < 1e-12


def test_the_camera_does_not_mirror():
    # Law: a rotation has determinant +1; a mirrored camera would teach left for right
    seen = {}
    joints = np.random.default_rng(1).normal(0, 0.3, (50, 21, 2, 3))
    view, _ = scenes.camera(np.random.default_rng(2), joints, np.full(50, 1.5), seen.__setitem__)
    assert np.allclose(np.linalg.det(view), 1.0)
    assert (seen["FOCAL"] > 0).all()


def test_dual_quaternions_move_a_point_as_the_matrix_does():
    # Law: two ways of writing one rigid motion
    chance = np.random.default_rng(5)
    R = Rotation.random(20, random_state=5).as_matrix()
    t, x = chance.normal(size=(20, 3)), chance.normal(size=(20, 3))
    q = scenes.quaternion(R)
    dual = 0.5 * scenes.product(np.concatenate([np.zeros((20, 1)), t], -1), q)
    back = 2 * scenes.product(dual, q * [1, -1, -1, -1])[:, 1:]
    assert np.allclose(back, t)
    assert np.allclose(scenes.matrices(q) @ x[..., None], (R @ x[..., None]))


def test_one_step_of_the_lessons():
    if importlib.util.find_spec("torch") is None or shutil.which("g++") is None:
        pytest.skip("torch or g++ is not here, so the lessons' loss cannot be tried.")
    import torch
    from training.network import CELL, decoded, loss

    # Definition: a map that is the taught hill itself is decoded to its middle
    at = torch.tensor([[50.0, 90.0]])
    cells = (torch.arange(48) + 0.5) * CELL
    hill = -((cells[None, :] - at[0, 0]) ** 2 + (cells[:, None] - at[0, 1]) ** 2) / (2 * (1.2 * CELL) ** 2)
    place, _ = decoded(hill[None, None])
    assert (place[0, 0] - at[0]).norm() < 0.5  # px: an eighth of a cell
    assert torch.isfinite(
        loss(
            (torch.zeros(1, 6, 48, 48), torch.zeros(1, 23, 48, 48), torch.zeros(1, 23)),
            at.expand(1, 23, 2),
            torch.ones(1, 23),
        )
    )
