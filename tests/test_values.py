"""Values behave as the standard library's dataclasses do, which are the reference here: the same class made by both."""

import copy
import dataclasses
import pickle
from collections.abc import Callable
from typing import Any

import pytest

from oaktag import values
from oaktag.geometry.point import Point


def made(dataclass: Callable[..., Any], **keywords: bool) -> Any:
    class Made:
        """A value with a default of each kind."""

        name: str
        at: Point
        sizes: tuple[str, ...] = ("12", "14")
        more: dict[str, float] = dataclasses.field(default_factory=dict)
        told: str = dataclasses.field(default="", repr=False, compare=False)

        def __post_init__(self) -> None:
            if not self.name:
                raise ValueError("no name")

    return dataclass(**keywords)(Made)


KINDS = {
    "frozen": {"frozen": True, "slots": True},
    "may be changed": {"slots": True},
    "compared by identity": {"frozen": True, "slots": True, "eq": False},
}


@pytest.fixture(params=KINDS.values(), ids=KINDS)
def both(request: pytest.FixtureRequest) -> tuple[Any, Any]:
    return made(values.dataclass, **request.param), made(dataclasses.dataclass, **request.param)


def outcome(call: Callable[[], object]) -> object:
    """What a call gives, or the kind of its error."""
    try:
        return call()
    except Exception as error:
        return type(error)


USES: dict[str, Callable[[Any], object]] = {
    "all given": lambda c: repr(c("front", Point(1.0, 2.0), ("10",), {"a": 1.0}, "x")),
    "by keyword": lambda c: repr(c(at=Point(1.0, 2.0), name="front", told="x")),
    "the least": lambda c: dataclasses.asdict(c("front", Point(1.0, 2.0))),
    "too few": lambda c: c("front"),
    "too many": lambda c: c("front", Point(0.0, 0.0), (), {}, "", 6),
    "unknown keyword": lambda c: c("front", Point(0.0, 0.0), size=12),
    "refused after": lambda c: c("", Point(0.0, 0.0)),
    "new default each": lambda c: c("a", Point(0.0, 0.0)).more is not c("a", Point(0.0, 0.0)).more,
    "equal": lambda c: c("a", Point(0.0, 1.0), told="x") == c("a", Point(0.0, 1.0), told="y"),
    "not equal": lambda c: c("a", Point(0.0, 1.0)) == c("b", Point(0.0, 1.0)),
    "equal to nothing else": lambda c: c("a", Point(0.0, 1.0)) == ("a", (0.0, 1.0), ("12", "14"), {}),
    "in a set": lambda c: len({c("a", Point(0.0, 1.0), more=None, told=told) for told in "xyy"}),
    "unhashable field": lambda c: isinstance(hash(c("a", Point(0.0, 1.0))), int),
    "set": lambda c: setattr(c("a", Point(0.0, 1.0)), "name", "b"),
    "deleted": lambda c: delattr(c("a", Point(0.0, 1.0)), "name"),
    "replaced": lambda c: repr(dataclasses.replace(c("a", Point(0.0, 1.0)), name="b")),
    "replaced and refused": lambda c: dataclasses.replace(c("a", Point(0.0, 1.0)), name=""),
    "fields": lambda c: [(f.name, f.default is dataclasses.MISSING) for f in dataclasses.fields(c)],
    "slots": lambda c: c.__slots__,
    "match": lambda c: c.__match_args__,
    "copied": lambda c: repr(copy.deepcopy(c("a", Point(0.0, 1.0), more={"x": 1.0}))),
}


@pytest.mark.parametrize("use", USES.values(), ids=USES)
def test_a_value_does_what_a_dataclass_of_the_standard_library_does(both: tuple[Any, Any], use: Any) -> None:
    ours, theirs = both
    for turn in ("first", "later"):  # methods are compiled at the first call
        assert outcome(lambda: use(ours)) == outcome(lambda: use(theirs)), turn


def test_a_value_takes_no_attribute_that_is_no_field() -> None:
    for kind in KINDS.values():
        with pytest.raises(AttributeError):
            made(values.dataclass, **kind)("a", Point(0.0, 1.0)).other = 1


def test_values_of_two_classes_are_never_equal() -> None:
    one, other = (made(values.dataclass, frozen=True, slots=True) for _ in range(2))
    assert one("a", Point(0.0, 1.0)) != other("a", Point(0.0, 1.0))


def test_a_value_goes_to_another_process_and_back() -> None:
    from oaktag.device.profile import DeviceProfile
    from oaktag.device.store import find_device

    sent = find_device("roll-914")
    back = pickle.loads(pickle.dumps(sent))
    assert isinstance(back, DeviceProfile)
    assert back == sent
    assert hash(sent.correction) == hash(back.correction)
