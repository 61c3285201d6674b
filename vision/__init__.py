"""From a picture of a hand-drawn truss to a candidate: what was read, in pixels."""

from model.errors import InputError

try:
    import cv2 as cv2
except ImportError as missing:
    if ".so" not in str(missing):
        raise
    _library = str(missing).split(":")[0]
    raise InputError(
        f"OpenCV cannot start because the system library {_library} is missing; install it "
        "(Debian and Ubuntu: apt-get install libgl1 libglib2.0-0) and try again."
    ) from missing
