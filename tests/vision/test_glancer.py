"""How looks are varied in training; collected where torch is."""

import cv2
import numpy as np
import torch

from vision.glance import DOWN, SQUARES, lay_bare, look_under
from vision.page import Sheet
from vision.training.glancer import FOOT_GAZE, seen_anew

JOINT = np.array([[300.0, 300.0]])
BAR = 220.0


def test_a_look_turned_afterwards_is_the_look_from_there():
    noise = cv2.GaussianBlur(np.random.default_rng(1).random((600, 600)), (0, 0), 6)
    paper = (255 * (noise < np.median(noise))).astype(np.uint8)
    paper = cv2.GaussianBlur(paper, (0, 0), 4)
    ink = lay_bare(Sheet(paper < 128, paper), JOINT, ())
    straight, there = (look_under(ink, JOINT, np.array([push]), BAR) for push in (90.0, 100.0))
    turned = seen_anew(
        torch.from_numpy(straight),
        FOOT_GAZE,
        torch.deg2rad(torch.tensor([10.0])),
        torch.ones(1),
        torch.zeros(1, 2),
    ).numpy()
    near = np.hypot(*np.meshgrid(np.linspace(-0.5, 0.5, len(DOWN)), DOWN)) < 0.22
    for k in range(2 * len(SQUARES)):
        off = np.abs(turned - there)[0, k][near].mean()
        assert off < 0.2 * np.abs(straight - there)[0, k][near].mean()
