"""What is for sale: placeholders marked as such, and a user's list that wins over them."""

from pathlib import Path

import pytest

from catalogue.book import load_catalogue
from catalogue.gear import Chain, Protector, Rope, Shackle
from catalogue.prices import load_prices, merge_prices
from shared.errors import InputError

HEADING = "gear,length,price,stock,for_sale\n"


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def message_of(path: Path) -> str:
    with pytest.raises(InputError) as error:
        merge_prices(load_prices(), path)
    return str(error.value)


def test_placeholders_are_many_and_marked() -> None:
    items = load_prices()
    assert len(items) >= 150
    assert all(item.placeholder and item.for_sale and item.price > 0 for item in items.values())
    assert {type(item.gear).__name__ for item in items.values()} == {
        "Rope",
        "Block",
        "Shackle",
        "Strap",
        "Chain",
        "Hook",
        "Protector",
    }


def test_rope_is_sold_by_lengths_and_longer_costs_more() -> None:
    items = load_prices()
    thirty, fifty = items["polyester-12 x 30 m"], items["polyester-12 x 50 m"]
    assert (thirty.length, fifty.length) == (30.0, 50.0)
    assert thirty.price < fifty.price
    assert all(item.length is not None for item in items.values() if isinstance(item.gear, Rope))


def test_a_users_price_wins(tmp_path: Path) -> None:
    text = HEADING + "polyester-12,30 m,77.5,2,\nshackle-13,,,,false\n"
    merged = merge_prices(load_prices(), written(tmp_path, "own.csv", text))
    rope = merged["polyester-12 x 30 m"]
    assert (rope.price, rope.stock, rope.placeholder) == (77.5, 2, False)
    assert not merged["shackle-13"].for_sale
    assert merged["shackle-16"] == load_prices()["shackle-16"]
    assert len(merged) == len(load_prices())


def test_an_item_may_be_called_by_the_id_of_the_list(tmp_path: Path) -> None:
    text = '[[item]]\nid = "polyester-12 x 30 m"\nprice = 80\n'
    merged = merge_prices(load_prices(), written(tmp_path, "own.toml", text))
    assert merged["polyester-12 x 30 m"].price == 80
    assert not merged["polyester-12 x 30 m"].placeholder


def test_a_list_from_a_spreadsheet_with_semicolons(tmp_path: Path) -> None:
    text = "\ufeffgear;length;price\nchain-8-g43;5 m;60\n\n"
    merged = merge_prices(load_prices(), written(tmp_path, "own.csv", text))
    chain = merged["chain-8-g43 x 5 m"]
    assert isinstance(chain.gear, Chain)
    assert chain.gear.length == 5.0
    assert merged["chain-8-g43"].gear.wll == chain.gear.wll


def test_own_gear_described_in_full(tmp_path: Path) -> None:
    text = """
[[item]]
kind = "shackle"
id = "yard-shackle"
name = "big shackle from the yard"
bow_diameter = "16 mm"
pin_diameter = "19 mm"
jaw = "27 mm"
length = "60 mm"
wll = "3200 kgf"
price = 14.5
stock = 4
"""
    item = merge_prices({}, written(tmp_path, "own.toml", text))["yard-shackle"]
    assert isinstance(item.gear, Shackle)
    assert item.gear.wll == pytest.approx(31381.28)  # 3,200 kg x 9.80665
    assert (item.gear.source, item.price, item.stock) == ("site", 14.5, 4)


def test_own_chain_described_in_csv_keeps_its_grade_a_text(tmp_path: Path) -> None:
    text = (
        "kind,id,name,grade,size,length,wll,choker_factor,basket_factor,price\n"
        "chain,my-chain,old chain,43,8 mm,4 m,unrated,0.75,2,10\n"
    )
    item = merge_prices({}, written(tmp_path, "own.csv", text))["my-chain"]
    assert isinstance(item.gear, Chain)
    assert (item.gear.grade, item.gear.wll, item.gear.length) == ("43", None, 4.0)


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("polyestr-12,30 m,9,,", ":2: row 2.gear: no gear 'polyestr-12' in the catalogue; did you"),
        ("polyester-12,,9,,", ":2: row 2.length: is missing: rope is sold by lengths"),
        ("polyester-12,30,9,,", ":2: row 2.length: '30' is not a length"),
        ("polyester-12,0 m,9,,", ":2: row 2.length: '0 m' must be above 0"),
        ("snatch-100-roller,3 m,9,,", "is not sold by length"),
        ("shackle-13,,,,", ":2: row 2.price: is missing"),
        ("shackle-13,,-4,,", ":2: row 2.price: '-4' is not a price"),
        ("shackle-13,,12 EUR,,", ":2: row 2.price: '12 EUR' is not a price"),
        ("shackle-13,,9,1.5,", ":2: row 2.stock: 1.5 is not a whole number"),
        ("shackle-13,,9,,maybe", ":2: row 2.for_sale: 'maybe' is not true or false"),
        (",,9,,", ":2: row 2.gear: is missing"),
        ("shackle-13,9", ":2: 2 cells under 5 headings"),
        ("shackle-13,,9,,\nshackle-13,,8,,", ":3: row 3: 'shackle-13' stands at line 2 too"),
        ("", "no items in this price list"),
    ],
)
def test_a_bad_row_is_reported_with_its_line(tmp_path: Path, row: str, message: str) -> None:
    assert message in message_of(written(tmp_path, "own.csv", HEADING + row + "\n"))


def test_all_bad_rows_are_reported_at_once(tmp_path: Path) -> None:
    text = HEADING + "shackel-13,,9,,\nshackle-13,,9,,\nchain-8-g44,,9,,\n"
    message = message_of(written(tmp_path, "own.csv", text))
    assert "did you mean 'shackle-13'" in message
    assert "did you mean 'chain-8-g43'" in message
    assert len(message.splitlines()) == 2


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        (
            "own.csv",
            "gear,prise\nshackle-13,9\n",
            ":1: prise: no such column; did you mean 'price'",
        ),
        ("own.csv", "gear,price,price\nshackle-13,9,9\n", "this column is there twice"),
        ("own.txt", "", "a price list is a .csv or a .toml file"),
        ("own.toml", "[[item]\n", "is not TOML"),
        ("own.toml", "[[items]]\nprice = 3\n", "each item is an [[item]] table"),
        ("own.toml", '[[item]]\ngear = "shackle-13"\nprice = nan\n', "item[0].price: nan is not"),
        ("own.toml", '[[item]]\nid = "polyester-12 x 31 m"\nprice = 3\n', "polyester-12 x 30 m"),
        ("own.toml", '[[item]]\nkind = "rop"\nprice = 3\n', "'rop' is not one of 'rope', 'block'"),
        ("own.toml", '[[item]]\ngear = "shackle-13"\nprise = 3\n', "did you mean 'price'"),
    ],
)
def test_a_list_that_is_none_is_reported(
    tmp_path: Path, name: str, text: str, message: str
) -> None:
    assert message in message_of(written(tmp_path, name, text))


def test_a_missing_list_is_reported(tmp_path: Path) -> None:
    assert "cannot be read" in message_of(tmp_path / "none.csv")


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("wll", '"0 kgf"', "wll: 0 must be above 0"),
        ("basket_factor", "2.5", "basket_factor: 2.5 must be at most 2"),
        ("id", '"strap-50-2m"', "is an id of the catalogue"),
    ],
)
def test_own_gear_that_cannot_be_is_refused(
    tmp_path: Path, field: str, value: str, message: str
) -> None:
    cells = {
        "kind": '"strap"',
        "id": '"my-strap"',
        "name": '"mine"',
        "length": '"2 m"',
        "width": '"50 mm"',
        "wll": '"900 kgf"',
        "choker_factor": "0.8",
        "basket_factor": "2",
        "price": "10",
    } | {field: value}
    text = "[[item]]\n" + "".join(f"{key} = {raw}\n" for key, raw in cells.items())
    assert message in message_of(written(tmp_path, "own.toml", text))


def test_what_is_cut_on_the_spot_has_no_price_and_what_lies_there_is_not_sold(
    tmp_path: Path,
) -> None:
    """Logs, poles and timber cost an axe and a tree: they count only where the owner lists them."""
    sold = {item.gear.id for item in load_prices().values() if isinstance(item.gear, Protector)}
    bought = {id for id, kind in load_catalogue().protectors.items() if not kind.made}
    assert sold == bought

    message = message_of(written(tmp_path, "own.csv", "gear,price\nlaid,9\n"))

    assert "own.csv:2: row 2.gear: 'laid' is what lies on an edge already, no gear" in message
    assert "edge_protected = true" in message


def test_an_own_edge_protector_in_a_price_list(tmp_path: Path) -> None:
    text = (
        "kind,id,name,surface,clearance,bend_radius,length,covers,price\n"
        "protector,rubber-mat,rubber mat,{},30 mm,60 mm,0.8 m,1.5 m,20\n"
    )
    good = merge_prices({}, written(tmp_path, "own.csv", text.format("mat")))["rubber-mat"].gear

    assert isinstance(good, Protector)
    assert (good.clearance, good.covers, good.made) == (0.03, 1.5, False)
    assert good.fixing
    bad = message_of(written(tmp_path, "bad.csv", text.format("soil")))
    assert "row 2.surface: 'soil' is not one of 'bark', 'peeled log'" in bad


def test_several_lists_are_several_shops(tmp_path: Path) -> None:
    """A list names its shop above its items, or line by line, or it is called by its file."""
    quay = written(tmp_path, "quay.csv", "gear,price,shop\nshackle-13,6,\nshackle-16,8,the pier\n")
    text = 'shop = "old yard"\ncurrency = "EUR"\n[[item]]\ngear = "shackle-13"\nprice = 5\n'
    yard = written(tmp_path, "yard.toml", text)
    merged = merge_prices(load_prices(), quay, yard)

    mine = {item.id: (item.shop, item.price) for item in merged.values() if not item.placeholder}
    assert mine == {
        "shackle-13 at quay": ("quay", 6),
        "shackle-16 at the pier": ("the pier", 8),
        "shackle-13 at old yard": ("old yard", 5),
    }
    assert merged["shackle-13 at old yard"].currency == "EUR"
    assert merged["shackle-13 at old yard"].place == f"{yard}:3"
    assert "shackle-13" not in merged  # the placeholder
    assert "shackle-19" in merged


def test_what_is_lent_has_a_condition_and_leaves_what_is_sold(tmp_path: Path) -> None:
    text = "gear,lent,condition,stock,shop\nshackle-13,true,used,2,neighbour\n"
    lent = merge_prices(load_prices(), written(tmp_path, "own.csv", text))
    item = lent["shackle-13 lent by neighbour"]

    assert (item.price, item.lent, item.stock, item.condition.id) == (0, True, 2, "used")
    assert lent["shackle-13"].placeholder


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("shackle-13,5,true,,,", ":2: row 2.condition: is missing: how worn is what is lent?"),
        (
            "shackle-13,5,true,usd,,",
            ":2: row 2.condition: no condition 'usd' in the catalogue; did",
        ),
        ("shackle-13,5,maybe,used,,", ":2: row 2.lent: 'maybe' is not true or false"),
        (
            "shackle-13,5,,,,a currency that is long",
            ":2: row 2.currency: expected a text of at most",
        ),
    ],
)
def test_a_bad_row_of_something_lent_is_reported_with_its_line(
    tmp_path: Path, row: str, message: str
) -> None:
    heading = "gear,price,lent,condition,shop,currency\n"
    assert message in message_of(written(tmp_path, "own.csv", f"{heading}{row}\n"))


def test_a_bad_table_is_reported_with_its_line(tmp_path: Path) -> None:
    text = '# ours\n[[item]]\ngear = "shackle-13"\nprice = 4\n\n[[item]]\ngear = "shackel-16"\nprice = 4\n'
    message = message_of(written(tmp_path, "own.toml", text))
    assert (
        ":6: item[1].gear: no gear 'shackel-16' in the catalogue; did you mean 'shackle-16'"
        in message
    )


def test_one_shop_sells_a_thing_once(tmp_path: Path) -> None:
    one = written(tmp_path, "one.csv", "gear,price,shop\nshackle-13,6,quay\n")
    two = written(tmp_path, "two.csv", "gear,price,shop\nshackle-13,7,quay\n")
    with pytest.raises(InputError) as error:
        merge_prices({}, one, two)
    assert f"{two}:2: row 2: 'shackle-13 at quay' stands at {one}:2 too" in str(error.value)
