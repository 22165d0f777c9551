"""Assets go by their own digest, and what is private can be taken out of a copy."""

import json

import msgspec

from circuitmap.home import Change, Home
from circuitmap.home.assets import EXTENSIONS, MEDIA, assets_of, hash_of, is_hash
from circuitmap.home.exchange import to_text
from circuitmap.home.records import KINDS, Details, Note, Sheet
from circuitmap.home.sharing import redacted
from tests.home.full import PICTURE, full_home, record_of


def test_the_digest_is_sha256() -> None:
    # published: FIPS 180-4 example "abc"
    assert hash_of(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert is_hash(hash_of(b""))
    for text in ("", "../x", "A" * 64, "0" * 63, "0" * 64 + "\n"):
        assert not is_hash(text)


def test_every_kind_of_file_has_one_ending_that_leads_back_to_it() -> None:
    assert all(MEDIA[ending] == media for media, ending in EXTENSIONS.items())


def test_every_digest_that_the_schema_lets_stand_in_a_record_is_found() -> None:
    for kind in KINDS.values():
        record = record_of(kind, lambda letter: f"{letter}1")
        assert list(assets_of(record)) == [hash_of(PICTURE[1])] * json.dumps(msgspec.to_builtins(record)).count(
            hash_of(PICTURE[1])
        )
    assert {kind for kind in KINDS.values() if list(assets_of(record_of(kind, lambda letter: f"{letter}1")))} == {
        Sheet,
        Note,
    }


def named(home: Home) -> Home:
    """Give the people of a sample a name of their own: it has the same text in every field."""
    pairs = []
    for record in home.all():
        for field in ("by", "agreed_by"):
            if isinstance(getattr(record, field, None), str):
                pairs.append((record, msgspec.structs.replace(record, **{field: "Wilhelmina Ashgrove"})))
    return home.apply(Change("", tuple(pairs)))


def test_a_redacted_copy_has_nothing_private_and_all_the_rest() -> None:
    home, _ = full_home()
    details, note = home.details, home.take(Note, "N1")
    secret = "4 Nobody Street"
    pairs = (
        (details, msgspec.structs.replace(details, address=secret, call=secret)),
        (note, msgspec.structs.replace(note, text=secret)),
    )
    whole = named(home.apply(Change("", pairs)))
    shared = redacted(whole)
    assert secret in to_text(whole).decode()
    assert secret not in to_text(shared).decode()
    assert shared.take(Note, "N1") == msgspec.structs.replace(note, text="", photos=())
    assert isinstance(shared.details, Details)
    assert shared.details == msgspec.structs.replace(details, address="", call="")
    assert shared.problems() == []
    private = {"address", "call", "by", "text", "photos", "agreed_by"}
    for record in shared.all():
        for name in record.__struct_fields__:
            if name in private:
                assert not getattr(record, name), (record.id, name)
            else:
                assert getattr(record, name) == getattr(whole.get(record.id), name)
