"""The public interface: what is in it, and that each name says what it is."""

from types import ModuleType

import pytest

from buildcheck import api


def test_the_public_interface_is_exact_and_sorted() -> None:
    public = {
        name for name, value in vars(api).items() if not name.startswith("_") and not isinstance(value, ModuleType)
    }
    assert set(api.__all__) == public
    assert list(api.__all__) == sorted(api.__all__)
    assert len(set(api.__all__)) == len(api.__all__)


@pytest.mark.parametrize("name", api.__all__)
def test_every_public_name_is_documented(name: str) -> None:
    value = getattr(api, name)
    if name == "Finding":  # a name for two classes, each documented
        assert all(kind.__doc__ for kind in value.__args__)
        return
    text = vars(value).get("__doc__") if isinstance(value, type) else value.__doc__
    assert text, f"{name} has no docstring"
    assert not text.startswith(f"{name}("), f"{name} has only the docstring that a dataclass makes of itself"
