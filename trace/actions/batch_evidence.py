"""What was written down about a batch, in the form the pure rooms take."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import instant_of
from lotwake.trace.process.salt import SaltSample
from lotwake.trace.process.series import ProbeSeries, doubled, series_of_readings
from lotwake.trace.process.verdict import BatchEvidence, FishIn, StepDone
from lotwake.trace.records.database import Records
from lotwake.trace.records.stock import MATERIAL

Readings = Mapping[str, Sequence[tuple[float, int]]]
"""By probe or sample: (seconds since 1970, stored value), in order of time."""


def evidence_of(records: Records, batch: int, now: datetime, without: Sequence[int] = ()) -> BatchEvidence:
    """What was written down about a batch. Seconds are since 1970, UTC.

    Times are kept to the minute, so one probe may have been read twice at one moment: then the colder reading counts for
    heat and the warmer for cooling, never the kinder.
    ``without``: instruments whose readings are left out.
    """
    by_kind: dict[str, dict[str, list[tuple[float, int]]]] = defaultdict(lambda: defaultdict(list))
    for kind, probe, at, value, instrument in records.rows(
        "SELECT kind, probe, at, value, equipment FROM reading WHERE batch = ? ORDER BY at, id", batch
    ):
        if instrument is None or instrument not in without:
            by_kind[kind][probe].append((datetime.fromisoformat(at).timestamp(), value))  # quick: there may be many
    steps = records.rows("SELECT name, started, ended FROM step WHERE batch = ? ORDER BY started, id", batch)
    nitrite = [value for series in by_kind["nitrite"].values() for _, value in series]
    activity = [value for series in by_kind["water activity"].values() for _, value in series]
    return BatchEvidence(
        now_s=now.timestamp(),
        steps=tuple(
            StepDone(name.lower(), instant_of(a).timestamp(), None if b is None else instant_of(b).timestamp())
            for name, a, b in steps
        ),
        core=_series(by_kind["core"], min),
        core_warmest=_series(by_kind["core"], max),
        air=_series(by_kind["air"], max),
        doubled=tuple(_doubled(by_kind["core"])),
        salt=tuple(_salt_samples(by_kind["salt"], by_kind["moisture"])),
        nitrite_ppm=min(nitrite, default=None),
        water_activity=max(activity) / 10_000 if activity else None,
        fish=tuple(_fish(records, batch)),
    )


def _series(probes: Readings, keep: Callable[[Iterable[float]], float]) -> tuple[ProbeSeries, ...]:
    return tuple(
        series_of_readings(name or "core", [(at, value / 100) for at, value in readings], keep)
        for name, readings in sorted(probes.items())
    )


def _doubled(probes: Readings) -> Iterable[tuple[str, float]]:
    return ((name or "core", at) for name, readings in sorted(probes.items()) for at in doubled(readings))


def _salt_samples(salt: Readings, moisture: Readings) -> list[SaltSample]:
    """Salt and moisture of the same sample name, in the order they were entered; half a sample is no sample."""
    return [
        SaltSample(s / 100, m / 100, name)
        for name, results in sorted(salt.items())
        for (_, s), (_, m) in zip(results, moisture.get(name, []), strict=False)
    ]


def _fish(records: Records, batch: int) -> list[FishIn]:
    """The fish lots in a batch, those that came by way of other batches or reworked packs among them.

    Age counts from the first day of the catch, so it is never made too young.
    """
    rows = records.rows(
        "WITH RECURSIVE up (id) AS (SELECT CAST(? AS BIGINT) UNION SELECT f.parent FROM up CROSS JOIN flow f"
        " WHERE f.child = up.id AND f.g > 0)"
        " SELECT DISTINCT l.id, l.code, f.english, f.histamine, l.core_c100, l.received, COALESCE(l.caught_from, l.landed_on)"
        " FROM up CROSS JOIN lot_use u CROSS JOIN lot l LEFT JOIN species f ON f.code = l.species"
        " WHERE u.work = up.id AND l.id = u.lot AND l.kind <> ? AND COALESCE(u.g, 1) > 0 ORDER BY l.id",
        batch, MATERIAL,
    )  # fmt: skip
    found = []
    for _, code, english, histamine, core, received, caught in rows:
        hours = (instant_of(received) - instant_of(f"{caught}T00:00:00Z")).total_seconds() / 3600
        name = f"{english} {show_code(code)}"
        found.append(FishIn(name, bool(histamine), None if core is None else core / 100, max(0.0, hours)))
    return found
