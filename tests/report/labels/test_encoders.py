"""The two encoders load alone, and leave the library as whoever else uses it expects it."""

import subprocess
import sys

import pytest

from intake.report.labels.encoders import first_file_unread

USED_AS_EVER = """
from intake.report.labels.encoders import Code128, QRCode
import sys
assert [] == [name for name in sys.modules if name.startswith("reportlab.platypus.para")]
from reportlab.graphics.barcode import code128, createBarcodeDrawing, qrencoder
from reportlab.platypus import Flowable, Paragraph
assert code128.Code128 is Code128 and issubclass(Code128, Flowable)
assert qrencoder.QRCode is QRCode
assert createBarcodeDrawing("QR", value="B-001").width > 0
"""


@pytest.fixture
def loud(tmp_path, monkeypatch):
    """A package whose first file says so when it is run, and a module in it."""
    folder = tmp_path / "loud_package"
    folder.mkdir()
    (folder / "__init__.py").write_text("HEARD = True\n", encoding="utf-8")
    (folder / "quiet.py").write_text("VALUE = 4\n", encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    yield "loud_package"
    for name in [one for one in sys.modules if one.startswith("loud_package")]:
        del sys.modules[name]


def test_the_first_file_is_left_unread_while_a_module_loads_and_read_later(loud):
    with first_file_unread(loud):
        from loud_package import quiet

        assert not hasattr(sys.modules[loud], "HEARD")
    assert loud not in sys.modules

    from loud_package import HEARD
    from loud_package import quiet as later

    assert HEARD
    assert later is quiet


def test_a_package_that_is_loaded_stays_as_it_is(loud):
    import loud_package

    with first_file_unread(loud):
        assert sys.modules[loud] is loud_package
    assert sys.modules[loud] is loud_package


def test_a_module_that_fails_leaves_nothing_behind(loud):
    with pytest.raises(ModuleNotFoundError), first_file_unread(loud):
        import loud_package.missing  # noqa: F401  # there is none
    assert loud not in sys.modules


def test_the_library_can_be_used_as_ever_in_the_same_process():
    subprocess.run([sys.executable, "-c", USED_AS_EVER], check=True, timeout=300)
