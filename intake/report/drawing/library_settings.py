"""The PDF library as it is shipped: no setting of this machine changes a byte of a document.

It looks into the environment, into a module of settings and into the home folder when it is first loaded.
Importing this module before it takes all three out of its sight.
"""

import os
import sys
from types import ModuleType

for _name in [one for one in os.environ if one.startswith("RL_") or one == "SOURCE_DATE_EPOCH"]:
    del os.environ[_name]
sys.modules["reportlab_settings"] = ModuleType("reportlab_settings")  # empty: nothing further is looked for
