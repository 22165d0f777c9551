"""A home whose name and address are left out still has a sensible heading in every document."""

import io

import pypdf
import pytest

from circuitmap.home.sharing import left_out
from circuitmap.paper.catalogue import make, paper_named
from tests.paper.charted import wanted
from tests.paper.test_chart import sample


@pytest.mark.parametrize(
    ("document", "large"),
    [("chart", False), ("chart", True), ("labels", False), ("schedules", False), ("sheets", False), ("record", False)],
)
def test_without_its_address_a_home_has_a_sensible_heading(document: str, large: bool) -> None:
    home = left_out(sample("older-terrace"), frozenset({"address"}))
    assert not home.details.name
    (made,) = make(paper_named(document), wanted(home, large_print=large))
    words = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.data)).pages)
    assert "This home" in words
    assert "without a name" not in words
