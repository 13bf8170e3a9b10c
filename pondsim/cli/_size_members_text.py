"""The answer of a search over members in sentences, as a table and as data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pondsim.cli._size_answer import past_end
from pondsim.cli._size_text import number_shown, plain, short, unit_shown, value_text
from pondsim.comparison.findings import money_text
from pondsim.comparison.lengths import length_text
from pondsim.ensemble.unknowns import WEATHER
from pondsim.units import from_si, number_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from pondsim.ensemble.paired import Chance
    from pondsim.ensemble.study import Draws
    from pondsim.sizing.members import MemberSizing, Tried
    from pondsim.sizing.size import Size


def share_text(chance: Chance) -> str:
    """A share of members with the interval that their number leaves: "88% (64 to 97%)"."""
    share, low, high = (round(100.0 * part) for part in (chance.share, chance.low, chance.high))
    return f"{share}% ({low} to {high}%)"


@dataclass(frozen=True)
class Told:
    """A search over members and what is needed to put it into words.

    Attributes
    ----------
    found, size, draws : what was found, what was sized, in which draws
    confidence : share of members that was asked for
    system : units shown
    drawn_from : in words what the draws come from
    scenario_at : reads the design at a size
    """

    found: MemberSizing
    size: Size
    draws: Draws
    confidence: float
    system: str
    drawn_from: str
    scenario_at: Callable[[float], object]

    @property
    def members(self) -> str:
        """Number of members, and what they are worth where their weights differ."""
        found = self.found
        alike = found.effective > found.members - 0.5
        return f"{found.members} members" + (
            "" if alike else f", worth {found.effective:.0f} by their weights"
        )

    def _size(self, value: float | None) -> str:
        return self.size.text(value or 0.0, self.system)

    def _value(self, value: float | None) -> str:
        return value_text(value, self.found.target.entry, self.system, 4)

    def sentences(self) -> list[str]:
        """The answer in plain sentences, the finding first."""
        answer, noun = self.found.answer, self.size.noun
        most = f"{self.confidence:.0%} of members"
        one = self.found.at(answer.size)
        if one is None:
            return self._never()
        if answer.below is None:
            said = [
                f"The lower search bound, {self._size(one.size)}, already meets it in "
                f"{share_text(one.share)} of members. {past_end(self.scenario_at, self.size, one.size, -1)}"
            ]
        else:
            below = self.found.at(answer.below)
            assert below is not None
            said = [
                f"{self._size(one.size)} is the smallest {noun} with which at least {most} meet it: "
                f"{share_text(one.share)} do there, {share_text(below.share)} at {self._size(below.size)}. "
                "Both were run."
            ]
        said.append(
            f"There {most} reach {self._value(one.reached)} or better; the median is "
            f"{self._value(one.median)}."
        )
        said.append(
            f"With it the equipment uses {self._cost(one)} in {length_text(self.found.days)} (median)."
        )
        return [*said, *self._others(), *self._present()]

    def _never(self) -> list[str]:
        """That no size does, and which comes nearest."""
        tried = self.found.tried
        sign = self.found.target.sign
        best = max(tried, key=lambda one: (one.share.share, sign * (one.reached or 0.0)))
        ends = f"{self._size(tried[0].size)} to {self._size(tried[-1].size)}"
        more = f" {past_end(self.scenario_at, self.size, best.size, 1)}" if best is tried[-1] else ""
        return [
            f"No {self.size.noun} from {ends} meets it in {self.confidence:.0%} of members. The best is "
            f"{share_text(best.share)} of them, at {self._size(best.size)}, where "
            f"{self.confidence:.0%} reach {self._value(best.reached)}.{more}",
            *self._present(),
        ]

    def _others(self) -> list[str]:
        answer = self.found.answer
        if answer.largest:
            most, over = (self._size(one) for one in answer.largest)
            return [f"More is not always better here: up to {most} it is met, at {over} it is not."]
        return [] if answer.rises else ["The share does not rise all the way up: see the table."]

    def _present(self) -> list[str]:
        one = self.found.at(self.size.present)
        if one is None or one.size == self.found.answer.size:
            return []
        return [f"As the design stands, {self._size(one.size)}: {share_text(one.share)} of members meet it."]

    def _cost(self, one: Tried) -> str:
        energy = f"{number_text(one.energy, 4)} kWh"
        return energy if one.money is None else f"{energy} ({money_text(one.money, self.found.currency)})"

    def basis(self) -> str:
        """What was assumed: what the members draw, where the draws come from, what past errors add."""
        count = sum(one.name != WEATHER for one in self.draws.unknowns)
        years = ", ".join(one.name for one in self.draws.years)
        weather = f"of the weather ({years})" if len(self.draws.years) > 1 else "the one weather year stated"
        said = (
            f"Assumed: {self.found.members} members, the same at every size, each with one draw of "
            f"{count} {'unknown over its range' if count == 1 else 'unknowns over their ranges'} and "
            f"{weather}; {self.drawn_from}."
        )
        if self.draws.margin > 0.0 and self.found.target.entry.unit == "mg/L":
            said += (
                f" Oxygen levels count as off by {self.draws.margin:.2g} mg/L in nine of ten cases, "
                "as far as held-out readings lay beyond the members."
            )
        failed = sum(one.failed for one in self.found.tried)
        if failed:
            said += f" {failed} failed runs count as not meeting it ({self.found.failure})."
        return said

    def about(self) -> str:
        """How the share is to be read."""
        return (
            "Behind each share stands the 95 % interval (Wilson) that the number of members leaves: a size "
            "is no surer than its lower end. More members (--members) narrow it. It holds what was drawn, "
            "not what the model leaves out, nor a pond, a load or equipment unlike the files."
        )

    def table(self) -> list[list[str]]:
        """One row per size, heads first."""
        entry = self.found.target.entry
        unit = unit_shown(entry, self.system)
        money = any(one.money is not None for one in self.found.tried)
        rows = [
            [
                f"{short(self.size)} [{self.size.unit(self.system)}]",
                "share [%]",
                "95 %",
                f"{self.confidence:.0%} reach [{unit}]",
                f"median [{unit}]",
                *("kWh", *([self.found.currency] if money else []), ""),
            ]
        ]
        for one in self.found.tried:
            rows.append(
                [
                    self._size(one.size).split(" ")[0],
                    f"{100.0 * one.share.share:.0f}",
                    f"{100.0 * one.share.low:.0f}-{100.0 * one.share.high:.0f}",
                    number_text(number_shown(one.reached, entry, self.system), 4),
                    number_text(number_shown(one.median, entry, self.system), 4),
                    number_text(one.energy, 4),
                    *([number_text(one.money, 4) if one.money is not None else "-"] if money else []),
                    "meets" if one.meets else "misses",
                ]
            )
        return rows

    def data(self, goal: str, said: list[str], notes: list[str]) -> dict[str, Any]:
        """The whole answer as plain data, sizes and values in the units shown."""
        found, entry = self.found, self.found.target.entry

        def shown(value: float | None) -> float | None:
            return None if value is None else plain(float(from_si(value, self.size.unit(self.system))))

        def measured(value: float | None) -> float | None:
            return plain(number_shown(value, entry, self.system))

        return {
            "sized": self.size.key,
            "size_unit": self.size.unit(self.system),
            "wanted": goal,
            "confidence": self.confidence,
            "measure": found.target.measure,
            "measure_unit": unit_shown(entry, self.system),
            "kind": found.answer.kind,
            "size": shown(found.answer.size),
            "below": shown(found.answer.below),
            "as_designed": shown(self.size.present),
            "members": found.members,
            "effective_number": found.effective,
            "unknowns": [one.name for one in self.draws.unknowns],
            "sentences": said,
            "runs": [
                {
                    "size": shown(one.size),
                    "share": one.share.share,
                    "share_low": one.share.low,
                    "share_high": one.share.high,
                    "reached": measured(one.reached),
                    "median": measured(one.median),
                    "meets": one.meets,
                    "kwh": plain(one.energy),
                    "money": plain(one.money),
                    "failed": one.failed,
                }
                for one in found.tried
            ],
            "notes": notes,
        }
