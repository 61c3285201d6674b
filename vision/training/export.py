"""Write the trained network as the ONNX file that ships, and prove it the same."""

from __future__ import annotations

import sys
from pathlib import Path

import cv2
import numpy as np
import torch

from vision.network import SIZE
from vision.training.model import Finished, Reader

__all__ = ["export"]


def export(checkpoint: Path, path: Path) -> float:
    """Export a checkpoint; return the largest difference between OpenCV's and torch's maps."""
    net = Reader()
    net.load_state_dict(torch.load(checkpoint, map_location="cpu"))
    finished = Finished(net).float().eval()
    torch.onnx.export(
        finished, (torch.zeros(1, 1, SIZE, SIZE),), str(path), input_names=["grey"],
        output_names=["maps"], opset_version=17, dynamo=False,
    )  # fmt: skip
    grey = cv2.GaussianBlur(np.random.default_rng(0).random((SIZE, SIZE)), (0, 0), 2)
    grey = ((grey > 0.5) * 0.8 + 0.1).astype(np.float32)[None, None]
    reader = cv2.dnn.readNetFromONNX(str(path))
    reader.setInput(grey)
    with torch.no_grad():
        difference = np.abs(reader.forward() - finished(torch.from_numpy(grey)).numpy()).max()
    return float(difference)


if __name__ == "__main__":
    print(f"largest difference {export(Path(sys.argv[1]), Path(sys.argv[2])):.1e}")
