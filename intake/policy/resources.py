"""Where ``schemas/`` and ``templates/`` stand: inside an installed wheel, else beside the package."""

from importlib.resources import files
from importlib.resources.abc import Traversable


def resource(folder: str, name: str) -> Traversable:
    """Return the shipped file ``folder/name``.

    Raises
    ------
    FileNotFoundError
        The installation is incomplete.
    """
    package = files("intake")
    for root in (package, package.joinpath("..")):
        found = root.joinpath(folder, name)
        if found.is_file() or found.is_dir():
            return found
    raise FileNotFoundError(f"{folder}/{name} is missing from this installation of intake")


def resource_text(folder: str, name: str) -> str:
    """Return the text of the shipped file ``folder/name``."""
    return resource(folder, name).read_text(encoding="utf-8")
