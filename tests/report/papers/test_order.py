"""The order list that is sent: nothing twice, nothing that is nothing, and of each thing what a supplier must know."""

import io
import math

import pandas
import pytest

from pondkit import Project
from pondkit.core.units import SYSTEMS, System
from pondkit.drawing.blocks import BLANK, Heading, NewPage, Table
from pondkit.project.files import put
from pondkit.report import table
from pondkit.report.papers.order import HIRE, TAKES, WITHIN, Good, bought, order, order_csv, quote_request
from pondkit.report.papers.sheet import Sheet
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.inputs import ordered
from tests.designs import DEMO_NAMES, demo, full_design, full_project

OPTION = ("options", 0)
LINES = ("prices", "lines")


def sheet(project: Project, units: System = "us", option: int = 0) -> Sheet:
    return Sheet(evaluate(project), option, units, "letter")


def goods(project: Project, units: System = "us", option: int = 0) -> list[Good]:
    return list(bought(evaluate(project).options[option], units))


def one(project: Project, key: str, of: str = "") -> Good:
    return next(good for good in goods(project) if good.key == key and of in (good.of, ""))


def written(made: Sheet) -> str:
    """All texts of an order, as they stand in its blocks."""
    return "\n".join(
        "\n".join([*block.head, *(cell for row in block.rows for cell in row)])
        if isinstance(block, Table)
        else str(getattr(block, "text", ""))
        for block in order(made)
    )


@pytest.mark.parametrize("units", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_figure_of_the_order_is_in_the_list_once_and_none_that_is_nothing(name: str, units: System) -> None:
    results = evaluate(demo(name))
    for result in results.options:
        listed = [(good.key, good.number) for good in bought(result, units)]
        rows = [row for row in table.rows(result, units) if ordered(row.key) and row.value != "0"]
        rolled = any(row.key == "rolls_to_buy" for row in rows)
        for row in rows:
            within = row.key in WITHIN or (rolled and row.key == "liner_area_order")
            assert ((row.key, row.value) in listed) == (not within), row.key
        assert not any(good.number in ("0", "") for good in bought(result, units))


def test_a_boulder_is_ordered_by_name_size_rock_and_mass() -> None:
    """As drawn: 44 × 30 × 14 in of limestone, a block, its axes 10 % off at most."""
    slab = one(full_design(), "boulder_count", "basking slab")
    assert (slab.what, slab.number, slab.of) == ("Boulder", "2", "basking slab")
    for words in ("limestone", "block", "44 × 30 × 14 in", "each axis within 10 %", "lb each (", " to "):
        assert words in slab.size


def test_a_liner_is_ordered_with_material_thickness_size_sheets_and_seams() -> None:
    project = put(full_design(), (*OPTION, "lining", "material"), "rubber sheet")
    liner = one(project, "liner_area_order")
    assert liner.size == "rubber sheet, 45 mil, 47 ft × 29 ft, one sheet"
    assert "material: ____" in one(full_design(), "liner_area_order").size
    roll = one(full_project(), "rolls_to_buy")
    assert "20 ft × 100 ft; the liner is 3 sheets with" in roll.size
    underlay = one(full_design(), "underlay_rolls")
    assert underlay.size == "geotextile, 12 oz/yd², 15 ft × 120 ft"


def test_a_pump_without_a_curve_is_left_to_be_filled_in() -> None:
    project = put(full_design(), (*OPTION, "water", "pumps", 0, "curve"), [])
    pump = one(project, "pump_order", "pump 1")
    assert pump.open == ("flow and head",)
    assert one(full_design(), "pump_order", "pump 1").open == ()


def test_a_pump_is_ordered_by_its_duty_and_pipe_by_its_size() -> None:
    pump = one(full_design(), "pump_order", "pump 1")
    assert "gal/min at a head of" in pump.size
    pipe = one(full_design(), "pipe_lengths_to_buy")
    assert pipe.size == "sch40 6 in, 10 ft each, 20 ft in all"
    assert (pipe.number, pipe.of) == ("2", "")
    (metric,) = [good for good in goods(full_design(), "si") if good.key == "pipe_lengths_to_buy"]
    assert metric.size == "sch40 6 in, 3.048 m each, 6.096 m in all"  # twice 3.048
    assert any(good.size == "sch40 2 in check valve" and good.what == "Valve" for good in goods(full_design()))


def test_an_own_pipe_is_ordered_in_its_own_stock_length() -> None:
    """20 ft a length, where other pipe is sold in 10 ft: printed in all is 20 ft times the number."""
    own = {"name": "big", "bore": "6 in", "outside": "6.6 in", "stock_length": "20 ft"}
    project = put(full_design(), ("options", 0, "tunnels", "own_pipes"), [own])
    project = put(project, ("options", 0, "tunnels", "own_pipe"), "big")
    pipe = one(project, "pipe_lengths_to_buy")
    assert pipe.size == f"big, 20 ft each, {int(pipe.number) * 20} ft in all"


def test_gravel_is_ordered_by_the_size_that_was_entered() -> None:
    assert one(full_design(), "total_gravel_volume").open == ("size",)
    named = put(full_design(), (*OPTION, "gravel_size"), "3/4 in washed")
    assert one(named, "total_gravel_volume").size.startswith("3/4 in washed; 1.5 short ton")
    beds = put(full_design(), (*OPTION, "bedding_size"), "3/4 in minus")
    assert one(beds, "seat_order").size.startswith("3/4 in minus; ")
    assert one(full_design(), "seat_order").size.startswith("crushed, size: __")


def test_gravel_and_beds_are_ordered_with_the_mass_of_their_class() -> None:
    """Mass of a class: bulk less voids, of the option's rock (the trade's own test holds it)."""
    court = evaluate(demo("turtle_court")).options[1]
    masses = {row.subject: row for row in table.rows(court, "us", ("class_mass",))}
    named = {"total_gravel_volume": "gravel", "bedding_order": "bedding"}
    for good in bought(court, "us"):
        if row := masses.get(named.get(good.key, "")):
            assert good.size.endswith(f"; {row.text} ({row.range_text}) dry")
            named.pop(good.key)
    assert not named


def test_gravel_has_a_mass_without_a_delivery_of_stone_too() -> None:
    """Closed form: bulk × (1 − voids) × density of the rock; of any rock in the table where none is named (2,200 to
    3,300 kg/m³, the middle of all typical ones 2,700), voids 0.35 within 15 %.
    """
    creek = put(demo("platypus_creek"), (*OPTION, "stone"), None)
    bulk = evaluate(creek).options[0].totals.total_gravel_volume
    (row,) = table.rows(evaluate(creek).options[0], "si", ("class_mass",))
    voids = 0.35 * 1.15, 0.35, 0.35 * 0.85
    expected = [bulk.value * (1 - v) * rock for v, rock in zip(voids, (2200, 2700, 3300), strict=True)]
    assert [row.entry.low, row.entry.value, row.entry.high] == pytest.approx(expected, rel=1e-9)
    good = next(good for good in bought(evaluate(creek).options[0], "si") if good.key == "total_gravel_volume")
    assert good.size == f"8 to 16 mm, round; {row.text} ({row.range_text}) dry"
    hauled = put(full_design(), (*OPTION, "stone", "haul"), {})
    assert evaluate(full_design()).options[0].bulk_stone and evaluate(hauled).options[0].bulk_stone is None


def test_hose_is_ordered_by_itself_at_its_length() -> None:
    """Two hoses of 6 ft and 30 ft of pipe in one size: 12 ft of hose, and less pipe."""
    project = full_design()
    for at in (0, 1):
        project = put(project, (*OPTION, "water", "pumps", at, "hose"), True)
    hose = next(good for good in goods(project) if good.size.endswith(", hose"))
    assert (hose.size, hose.number, hose.unit) == ("sch40 2 in, hose", "12", "ft")
    pipe = next(good for good in goods(project) if good.size == "sch40 2 in" and good.key == "line_pipe_order")
    assert float(pipe.number) < float(next(g.number for g in goods(full_design()) if g.size == pipe.size))


def test_a_body_and_a_den_are_ordered_by_their_size() -> None:
    """As drawn: the filter 6 x 3 ft, from -4 in to 2 ft; the intake basin has no rim."""
    listed = {good.what: good for good in goods(full_design())}
    assert listed["Filter"].size == "6 ft × 3 ft outside, 2 ft 4 in high"
    assert listed["Intake basin"].open == ("height",)
    assert "inside" in listed["Den chambers"].size


def test_what_is_still_to_be_filled_in_is_said_before_the_list() -> None:
    said = next(block for block in order(sheet(full_design())) if getattr(block, "look", "") == "box")
    assert "Liner for main liner: material" in said.text and "Gravel, washed: size;" in said.text
    whole = full_design()
    for field in ("gravel_size", "bedding_size"):
        whole = put(whole, (*OPTION, field), "3/4 in")
    whole = put(whole, (*OPTION, "lining", "material"), "rubber sheet")
    (box,) = [block.text for block in order(sheet(whole)) if getattr(block, "look", "") == "box"]
    assert "material" not in box and ": size" not in box


def test_a_request_has_a_page_for_each_supplier() -> None:
    made = sheet(full_design())
    sellers = {good.seller for good in bought(made.result, made.units)}
    blocks = list(quote_request(made))
    assert sum(isinstance(block, NewPage) for block in blocks) == len(sellers) - 1
    assert {block.text for block in blocks if isinstance(block, Heading)} == sellers


def test_machine_and_slings_are_hired_by_the_rating_that_the_heaviest_stone_needs() -> None:
    """By the mass that the crew's paper has too: the high one, as it is written beside the likely one."""
    rows = table.rows(evaluate(full_design()).options[0], "us")
    name = next(row.subject for row in rows if row.key == "heaviest_boulder")
    heaviest = next(row for row in rows if row.key == "boulder_mass" and row.subject == name)
    hired = [good for good in goods(full_design()) if good.goods == HIRE]
    assert [good.what for good in hired] == ["Machine to set stone", "Slings, as rigged"]
    assert all(f"for {heaviest.high_text}, " in good.size for good in hired)
    assert "competent" in "\n".join(getattr(block, "text", "") for block in order(sheet(full_design())))
    without = put(full_design(), (*OPTION, "stone"), None)
    assert not any(good.goods == HIRE for good in goods(without))


def test_nothing_is_hired_for_stone_that_two_people_carry_unless_a_machine_is_planned() -> None:
    """The heaviest cover stone may weigh 75.4 lb (within 10 % of 14 x 10 x 4 in of sandstone at most): two people who
    carry 37.7 lb each carry 75.4.
    """
    seep = demo("salamander_seep")
    hired = {
        carry: any(good.goods == HIRE for good in goods(put(seep, (*OPTION, "lining", "carry"), carry)))
        for carry in ("37.5 lb", "37.9 lb", "50 lb")
    }
    assert hired == {"37.5 lb": True, "37.9 lb": False, "50 lb": False}
    planned = put(seep, (*OPTION, "stone", "rigging"), {})
    assert any(good.goods == HIRE for good in goods(planned))


def test_a_price_stands_as_money_beside_what_is_bought_in_its_unit() -> None:
    """Media are ordered by the cubic foot where that is what the price is for; 0.5556 yd³ are 15 ft³."""
    court = demo("turtle_court")
    media = next(good for good in goods(court) if good.key == "media_order")
    assert (media.by_list, media.price) == ("15 ft³", "$19.00 per ft³")
    boulders = {(good.by_list, good.price) for good in goods(court) if good.key == "boulder_count"}
    assert {price for _, price in boulders} == {"$165.00 per short ton"}
    assert all(text.endswith(" short ton in all") for text, _ in boulders)


@pytest.mark.parametrize("takes", ["typical", "high"])
def test_the_figure_that_is_taken_is_said_where_any_has_a_range(takes: str) -> None:
    project = put(full_project(), (*OPTION, "order_takes"), takes)
    ranged = any(good.spare for good in goods(project))
    assert (TAKES[takes] in written(sheet(project))) == ranged


def test_supplier_and_lead_of_a_line_stand_with_all_that_it_buys() -> None:
    lines = (
        {"item": "underlay_rolls", "price": 90, "supplier": "Reed & Rush", "lead_days": 21},
        {"item": "truck_loads", "price": 200, "supplier": "Ox Haulage", "lead_days": 3},
        {"item": "fitting_count", "supplier": "Bend & Sons"},
        {"item": "dig_volume", "unit": "yd^3", "price": 40, "supplier": "Ox Haulage", "lead_days": 3},
    )
    project = put(full_project(), LINES, lines)
    underlay = one(project, "underlay_rolls")
    assert (underlay.supplier, underlay.lead_days, underlay.price) == ("Reed & Rush", 21, "$90.00 each")
    assert {good.supplier for good in goods(project) if good.key == "fitting_count"} == {"Bend & Sons"}
    dig = one(project, "dig_volume")
    assert (dig.supplier, dig.lead_days) == ("Ox Haulage", 3)
    text = written(sheet(project))
    assert "Reed & Rush" in text
    assert text.rindex("21 days before") > text.index("What must be there")


def test_what_is_priced_by_area_or_mass_stands_with_what_is_ordered_of_it_and_not_once_more() -> None:
    lines = (
        {"item": "underlay_area", "unit": "ft^2", "price": 0.4, "supplier": "Reed & Rush"},
        {"item": "boulders_order", "unit": "short ton", "price": 160, "supplier": "Quarry"},
    )
    project = put(full_project(), LINES, lines)
    assert one(project, "underlay_rolls").supplier == "Reed & Rush"
    assert {good.supplier for good in goods(project) if good.key == "boulder_count"} == {"Quarry"}
    assert {good.key for good in goods(project)} == {good.key for good in goods(put(full_project(), LINES, ()))}


def test_within_a_stage_what_is_ordered_first_comes_first() -> None:
    lines = tuple(
        {"item": item, "supplier": f"S{days}", "lead_days": days, "unit": unit}
        for item, days, unit in (("underlay_rolls", 5, "each"), ("overlay_rolls", 30, "each"))
    )
    text = written(sheet(put(full_project(), LINES, lines)))
    tail = text[text.index("What must be there") :]
    assert tail.index("30 days before") < tail.index("5 days before")


def test_beds_under_boulders_are_needed_before_the_liner() -> None:
    beds = [good for good in goods(demo("turtle_yard"), option=1) if "edding" in good.what]
    assert beds
    assert all(good.stage.startswith("1.") and "before the liner" in good.stage for good in beds)


def test_a_request_has_no_price_and_room_for_one() -> None:
    lines = ({"item": "underlay_rolls", "price": 1234.5, "supplier": "Reed & Rush"},)
    made = sheet(put(full_project(), LINES, lines))
    tables = [block for block in quote_request(made) if isinstance(block, Table)]
    assert all(table.head[-3:] == ("Price for one", "Amount", "Days to deliver") for table in tables)
    assert all(row[-3:] == (BLANK,) * 3 for table in tables for row in table.rows)
    assert "Contingency" not in str(tables)
    assert "1,234.50" not in str(tables) + order_csv(made, asking=True)
    assert "$1,234.50 each" in str(list(order(made)))


@pytest.mark.parametrize("units", SYSTEMS)
@pytest.mark.parametrize("asking", [False, True])
def test_the_csv_opens_in_pandas_as_the_list_stands(asking: bool, units: System) -> None:
    made = sheet(full_design(), units)
    frame = pandas.read_csv(io.BytesIO(order_csv(made, asking=asking).encode("utf-8")))
    listed = list(bought(made.result, units))
    assert len(frame) == len(listed)
    assert frame["quantity"].dtype.kind in "if"
    assert all(math.isclose(number, float(good.number)) for number, good in zip(frame["quantity"], listed, strict=True))
    last = ["price", "days to deliver", "key"] if asking else ["by price list", "price", "key"]
    assert list(frame.columns)[-3:] == last
