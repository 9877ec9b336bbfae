"""Types of the public names, which `__init__.py` loads when they are first used."""

from volplane.domain.glide.required_height import required_height as required_height
from volplane.faces.python import Airfield as Airfield
from volplane.faces.python import Airplane as Airplane
from volplane.faces.python import Exercise as Exercise
from volplane.faces.python import debrief as debrief
from volplane.faces.python import plan as plan
from volplane.faces.python import read_track as read_track

__version__: str
