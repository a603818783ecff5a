"""Requirements on passages, collected as they are checked: clear way, swims, entrances, ice at the mouths, dens."""

from dataclasses import dataclass, replace

from pondkit.core.entry import USER, Entry, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.sentence import words
from pondkit.trades.animals import cautions as warn
from pondkit.trades.animals import formulas
from pondkit.trades.animals.inputs import AnimalKind, Animals
from pondkit.trades.animals.results import RequirementMark, Site
from pondkit.trades.tunnels.results import DenExits, MouthLevels, TunnelsResult


class RequirementCheck:
    """Collects the demands of all kinds by key, with their places."""

    def __init__(self) -> None:
        self.found: dict[str, list[Entry]] = {}
        self.marks: list[RequirementMark] = []
        self.fails: list[float] = []
        self.unchecked: list[tuple[str, str]] = []

    def leave(self, what: str, why: str) -> None:
        """A demand that is filled in and cannot be checked."""
        self.unchecked.append((what, why))

    def add(self, key: str, what: str, figure: Entry, at: Site | None = None) -> None:
        passes = figure.value >= -1e-9
        self.found.setdefault(key, []).append(figure)
        self.fails.append(0.0 if passes else 1.0)
        if at is not None:
            text = words(
                f"{figure.subject}: {what}, {'passes' if passes else 'fails'} by {{by}}",
                by=(abs(figure.value), figure.kind),
            )
            self.marks.append(RequirementMark(text, at, passes))


@dataclass(frozen=True, eq=False)
class Passages:
    """What the passages give, each with its place on the site [m].

    Attributes:
        bore: Narrowest clear bore; None where it is not known.
        swims: Longest swims, open and with each mouth blocked and each gate shut.
        mouths: Mouths in the pools.
        exits: Dens with the mouths that they are joined to.
        dens: Floor of each den above the highest water.
    """

    bore: tuple[Entry, Site] | None
    swims: tuple[tuple[Entry, Site], ...]
    mouths: tuple[MouthLevels, ...]
    exits: tuple[DenExits, ...]
    dens: tuple[tuple[Entry, Site], ...]


@remembered
def passages_of(tunnels: TunnelsResult) -> Passages:
    """What the passages give to the brief: bore, swims, mouths, exits and dens, each with its place."""
    places = {name: (place[0], place[1]) for name, _, place in tunnels.places}
    swims, narrowest = tunnels.swims, tunnels.narrowest
    ends = {subject: (place[0], place[1]) for subject, place in swims.ways}
    every = [*([swims.longest_swim] if swims.longest_swim else []), *swims.blocked_swim]
    return Passages(
        bore=(tunnels.clear_bore, narrowest[:2]) if tunnels.clear_bore and narrowest else None,
        swims=tuple((figure, ends[figure.subject]) for figure in every),
        mouths=tunnels.mouths,
        exits=tunnels.exits,
        dens=tuple((figure, places[figure.subject]) for figure in tunnels.filling.den_above_highest),
    )


def ice_at_mouths(animals: Animals, passages: Passages | None, rise: float, fall: float) -> dict[str, Entry]:
    """What ice leaves open of each mouth in a pool; nothing where no ice is entered."""
    clear: dict[str, Entry] = {}
    for mouth in passages.mouths if passages is not None and animals.ice else ():
        figure = entry(
            formulas.mouth_clear_of_ice,
            mouth.name,
            source=USER,
            mouth_level=mouth.level,
            bore=mouth.bore,
            ice=animals.ice,
            lowest=mouth.water - fall,
            highest=mouth.water + rise,
        )
        ice = warn.ICE_IN_MOUTH.where(figure.least, figure.value, figure.most, least=mouth.bore)
        clear[mouth.name] = with_cautions(figure, *ice)
    return clear


def check_under_ice(
    check: RequirementCheck, kind: AnimalKind, animals: Animals, passages: Passages | None, ice: dict[str, Entry]
) -> None:
    """Check that ice leaves a kind its clear way at each mouth in a pool."""
    if kind.body_width is None or not animals.ice:
        return
    if passages is None or not passages.mouths:
        check.leave("clear way under ice", "there are no mouths in a pool")
        return
    for mouth in passages.mouths:
        subject = f"{kind.name} / {mouth.name}"
        bare = replace(ice[mouth.name], cautions=())
        figure = entry(formulas.ice_margin, subject, source=USER, clear_of_ice=bare, clear_way_wanted=kind.body_width)
        check.add("demand_ice", "clear way under ice", figure, mouth.at)


NO_PASSAGES = "there are no passages"


def check_passages(
    check: RequirementCheck, kind: AnimalKind, passages: Passages | None, rise: float, fall: float
) -> None:
    """Check the demands of a kind on bore, swims, entrances, exits and dry dens."""
    _unchecked_passages(check, kind, passages)
    if passages is None:
        return
    if kind.body_width is not None and passages.bore is not None:
        bore, at = passages.bore
        subject = f"{kind.name} / {bore.subject}"
        figure = entry(formulas.bore_margin, subject, source=USER, clear_bore=bore, clear_way_wanted=kind.body_width)
        check.add("demand_bore", "clear bore", figure, at)
    for swim, at in passages.swims if kind.longest_swim is not None else ():
        subject = f"{kind.name} / {swim.subject}"
        figure = entry(formulas.swim_margin, subject, source=USER, longest_wanted=kind.longest_swim, swim=swim)
        check.add("demand_swim", "longest swim", figure, at)
    for mouth in passages.mouths if kind.entrance != "either" else ():
        subject = f"{kind.name} / {mouth.name}"
        if kind.entrance == "below water":
            figure = entry(
                formulas.entrance_margin_below,
                subject,
                source=USER,
                level=mouth.water,
                water_fall=fall,
                mouth_level=mouth.level,
                bore=mouth.bore,
                depth_wanted=kind.entrance_depth,
            )
        else:
            figure = entry(
                formulas.entrance_margin_above,
                subject,
                source=USER,
                mouth_level=mouth.level,
                bore=mouth.bore,
                level=mouth.water,
                water_rise=rise,
            )
        check.add("demand_entrance", f"entrance {kind.entrance}", figure, mouth.at)
    for den in passages.exits if kind.exits else ():
        there, wanted = float(den.mouths), float(kind.exits)
        subject = f"{kind.name} / {den.name}"
        figure = entry(formulas.exits_margin, subject, source=USER, mouths=there, mouths_wanted=wanted)
        check.add("demand_exits", "mouths to the den", figure, den.at)
    for floor, at in passages.dens if kind.den_dryness is not None else ():
        figure = entry(
            formulas.dry_margin,
            f"{kind.name} / {floor.subject}",
            source=USER,
            floor_above_water=floor,
            dryness_wanted=kind.den_dryness,
        )
        check.add("demand_dry", "den floor over water", figure, at)


def _unchecked_passages(check: RequirementCheck, kind: AnimalKind, passages: Passages | None) -> None:
    """Demands on the passages that nothing is there to check by."""
    mouths, dens = "there are no mouths in a pool", "no run leads to a den"
    asked = (
        ("clear way", kind.body_width is not None, "a run is in trouble", passages and passages.bore),
        ("longest swim", kind.longest_swim is not None, "no way under water was found", passages and passages.swims),
        (f"entrance {kind.entrance}", kind.entrance != "either", mouths, passages and passages.mouths),
        ("mouths to each den", kind.exits > 0, dens, passages and passages.exits),
        (
            "den floor over water",
            kind.den_dryness is not None,
            "no den is joined to a pool",
            passages and passages.dens,
        ),
    )
    for what, wanted, why, found in asked:
        if wanted and not found:
            check.leave(what, NO_PASSAGES if passages is None else why)
    if kind.entrance_depth > 0 and kind.entrance != "below water":
        check.leave("entrance under water", "entrances are not asked to be below water")
