"""The JSON document: exact numbers both ways, one clear sentence for bad input."""

from typing import Any

import pytest

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.document import answer_to_document, number_in, read_document
from projects.cutting.shapes import CuttingError
from stash.lengths import CM, INCH, MM


def ask(given: dict[str, Any]) -> dict[str, Any]:
    asked = read_document(given)
    answer = plan_cuts(
        asked.pieces, asked.cuts, allow=asked.allow, limits=asked.limits, aims=asked.aims
    )
    return answer_to_document(answer, asked.units)


def test_document_with_trade_text_is_answered_in_its_units() -> None:
    answer = ask(
        {
            "units": "in",
            "pieces": [{"name": "blue", "width": 42, "length": "1 yd"}],
            "cuts": [{"name": "A", "width": "2 1/2", "length": 6.5, "count": 84, "turn": True}],
        }
    )
    assert answer["verdict"] == "covered"
    (plan,) = answer["plans"]
    assert (plan["piece"], plan["index"]) == ("blue", 0)
    assert len(plan["placements"]) == 84
    assert {placement["width"] for placement in plan["placements"]} <= {2.5, 6.5}
    assert answer["evidence"]["proof"] == "plan"


def test_aims_and_repeats_are_read_and_told() -> None:
    answer = ask(
        {
            "pieces": [{"name": "p", "width": 24, "length": 24, "repeat_along": 6}],
            "cuts": [{"name": "A", "width": 5, "length": "9 1/2", "count": 4}],
            "aims": ["fewest cuts"],
        }
    )
    (plan,) = answer["plans"]
    assert {placement["length"] for placement in plan["placements"]} == {9.5}
    # Where the print lies is not said: a repeat is left free.
    assert {placement["y"] for placement in plan["placements"]} == {6}
    assert (plan["used"], plan["used_across"], plan["leaves"]) == (15.5, 20, "end")
    assert answer["aims"][:2] == ["fewest cuts", "least cloth"]


def test_empty_pieces_ask_what_to_buy_at_42_inches() -> None:
    answer = ask(
        {
            "cuts": [{"name": "A", "width": 9.5, "length": 9.5, "count": 63}],
            "allow": {"squaring_up": 2, "shrink": {"length": 0.03}, "reserve": "5 %"},
        }
    )
    assert answer["verdict"] == "short"
    assert answer["buy"]["width"] == 42
    assert answer["buy"]["rounded_text"] == "4 3/4 yd"
    assert answer["short"] == [{"cut": "A", "missing": 63}]


def test_centimetres_are_bought_in_tens() -> None:
    answer = ask({"units": "cm", "cuts": [{"name": "A", "width": 20, "length": 21, "count": 6}]})
    assert answer["buy"]["length"] == 42
    assert answer["buy"]["rounded"] == 50


@pytest.mark.parametrize("sixtyfourths", range(1, 65))
def test_sixtyfourths_and_millimetres_print_exactly(sixtyfourths: int) -> None:
    assert number_in(sixtyfourths * INCH // 64, "in") == sixtyfourths / 64
    assert str(number_in(sixtyfourths * MM, "cm")) == str(sixtyfourths / 10).removesuffix(".0")
    assert number_in(sixtyfourths * CM, "cm") == sixtyfourths


A_CUT = {"name": "A", "width": 5, "length": 5, "count": 1}


@pytest.mark.parametrize(
    ("given", "quoted"),
    [
        ([], "[]"),
        ({"units": "ell", "cuts": [A_CUT]}, "“ell”"),
        ({"pieces": []}, "cuts"),
        ({"cuts": []}, "empty"),
        ({"cuts": [A_CUT], "cloth": 1}, "“cloth”"),
        ({"cuts": [{**A_CUT, "width": 0}]}, "0"),
        ({"cuts": [{**A_CUT, "width": -1.5}]}, "-1.5"),
        ({"cuts": [{**A_CUT, "width": "wide"}]}, "wide"),
        ({"cuts": [{**A_CUT, "width": float("nan")}]}, "NaN"),
        ({"cuts": [{**A_CUT, "width": None}]}, "null"),
        ({"cuts": [{**A_CUT, "count": 501}]}, "501"),
        ({"cuts": [{**A_CUT, "count": 2.5}]}, "2.5"),
        ({"cuts": [{**A_CUT, "turn": "no"}]}, "“no”"),
        ({"cuts": [{**A_CUT, "name": ""}]}, "“”"),
        ({"cuts": [A_CUT, A_CUT]}, "“A”"),
        ({"cuts": [A_CUT], "allow": {"shrink": 3}}, "3"),
        ({"cuts": [A_CUT], "allow": {"squaring_up": "two"}}, "two"),
        ({"cuts": [A_CUT], "pieces": "none"}, "“none”"),
        ({"cuts": [A_CUT] * 1000}, "1000"),
        ({"cuts": [A_CUT], "aims": ["tidiest"]}, "“tidiest”"),
    ],
)
def test_bad_input_is_quoted_in_one_sentence(given: Any, quoted: str) -> None:
    with pytest.raises(CuttingError) as caught:
        ask(given)
    message = str(caught.value)
    assert quoted in message
    assert "\n" not in message
