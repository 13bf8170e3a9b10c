"""Options that are numbers with units."""

from __future__ import annotations

from typing import Any

import click


class Quantity(click.ParamType):
    """A text such as "4 ft" as an SI number, within a range; a number alone is in the unit `bare`, if any."""

    name = "quantity"

    def __init__(
        self, si_unit: str, least: str | None = None, most: str | None = None, bare: str = ""
    ) -> None:
        self.si_unit, self.least, self.most, self.bare = si_unit, least, most, bare

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Read it; a fault ends the command with the option's name and exit code 2."""
        from pondsim.units import UnitError, to_si  # noqa: PLC0415

        if isinstance(value, float):
            return value
        try:
            found = to_si(self._with_unit(str(value)), self.si_unit)
        except UnitError as error:
            self.fail(str(error), param, ctx)
        if self.least is not None and found < to_si(self.least, self.si_unit):
            self.fail(f'"{value}" is too low; write {self.least} or more', param, ctx)
        if self.most is not None and found > to_si(self.most, self.si_unit):
            self.fail(f'"{value}" is too high; write {self.most} or less', param, ctx)
        return found

    def _with_unit(self, text: str) -> str:
        try:
            float(text)
        except ValueError:
            return text
        return f"{text} {self.bare}" if self.bare else text

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """What stands for it in help."""
        return "QUANTITY"


ELEVATION = Quantity("m", "-500 m", "9000 m")
