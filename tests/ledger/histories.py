"""Random histories of two record kinds: files taken in, forms, withdrawals, settings."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st

KINDS = {  # key and value columns of the two kinds that the histories use
    "instrument": (("instrument_id",), ("make", "serial_no")),
    "calibration": (("instrument_id", "certificate"), ("laboratory", "issued_on")),
}
DAYS = (None, date(2026, 3, 1), date(2026, 3, 2))

instruments = st.dictionaries(
    st.sampled_from([("G1",), ("G2",)]),
    st.tuples(
        st.sampled_from(["", "", "Two"]),
        st.tuples(st.sampled_from([None, "a", "b"]), st.sampled_from([None, "a"])),
    ),
    max_size=2,
)
calibrations = st.dictionaries(
    st.tuples(st.sampled_from(["G1", "G2"]), st.sampled_from(["C1", "C2"])),
    st.tuples(st.just(""), st.tuples(st.sampled_from([None, "a", "b"]), st.sampled_from(DAYS))),
    max_size=3,
)
contents = st.one_of(
    st.fixed_dictionaries({"instrument": instruments}),
    st.fixed_dictionaries({"instrument": instruments, "calibration": calibrations}),
)
names = st.sampled_from(["one.csv", "old/ONE.csv", "two.csv"])
files = st.lists(st.tuples(names, contents), min_size=1, max_size=2)
steps = st.one_of(
    st.tuples(st.just("files"), files, st.booleans(), st.booleans()),
    st.tuples(st.just("files"), files, st.booleans(), st.booleans()),
    st.tuples(st.just("form"), instruments, st.booleans()),
    st.tuples(st.just("withdraw"), st.integers(1, 6)),
    st.tuples(st.just("again"), st.integers(0, 3)),
    st.tuples(st.just("settings"), st.sampled_from(["a = 1", "a = 2"])),
)
histories = st.lists(steps, min_size=2, max_size=6)
