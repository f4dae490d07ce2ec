"""interim"""
from ...draft.garment import Style
from ...values import dataclass

@dataclass(frozen=True, slots=True)
class Asked:
    style: Style

    def length(self, name: str) -> float:
        return float(self.style[name])  # type: ignore[arg-type]

    def given(self, name: str) -> float | None:
        value = self.style.get(name)
        return float(value) if isinstance(value, (int, float)) else None

    def choice(self, name: str) -> str:
        return str(self.style[name])
