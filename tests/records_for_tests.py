"""What a run says of itself, for tests to read."""

from __future__ import annotations

import xarray as xr

from pondsim.records import Record, from_json


def records_of(dataset: xr.Dataset) -> dict[str, Record]:
    """Records of results by their code; no code may stand twice."""
    records = from_json(dataset.attrs["remarks"])
    assert len({record.code for record in records}) == len(records)
    return {record.code: record for record in records}
