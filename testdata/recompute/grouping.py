"""Groups and months that measures are shown by, and the hours of devices in a period.

What: the group of a transport, the months of a period and their limits on the team's clock, device failures and hours.
How to run: recompute.py uses it.
"""
import datetime
import math

from timelines import HOUR, clip, day_start, rounded, union_length

GROUPS = ("vehicle", "team", "urgency", "referring_site", "device", "diagnosis", "gestation_band", "age_band")
NOT_RECORDED = "not recorded"
ADULT_DAYS = 18 * 365.25


def gestation_band(weeks):
    """Band of a gestation in weeks."""
    if weeks is None:
        return None
    done = math.floor(rounded(weeks))
    return "under 28" if done < 28 else "28\u201331" if done < 32 else "32\u201336" if done < 37 else "37 and more"


def age_band(days):
    """Band of an age in days."""
    if days is None or rounded(days) >= ADULT_DAYS:
        return None
    return "neonatal" if rounded(days) < 29 else "paediatric"


def group_of(t, by):
    """The group that a transport falls in."""
    if t is None:
        return NOT_RECORDED
    value = {"device": lambda: t["ventilator_id"], "gestation_band": lambda: gestation_band(t["gestation"]),
             "age_band": lambda: age_band(t["age_at_call"])}.get(by, lambda: t[by])()
    return NOT_RECORDED if value is None else value


# ---- device failures ----

def period_of(world):
    """All months from the first to the last that has a transport."""
    months = sorted(t.month for t in world.transports.values() if t.month)
    return months_between(months[0], months[-1]) if months else []


def months_between(first, last):
    """Months from first to last, both in."""
    out, (year, month) = [], map(int, first.split("-"))
    while f"{year}-{month:02d}" <= last:
        out.append(f"{year}-{month:02d}")
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)
    return out


def month_span(first, last, zone):
    """(start, end) of the months from first to last on the team's clock."""
    year, month = map(int, last.split("-"))
    after = datetime.date(year + month // 12, month % 12 + 1, 1)
    return day_start(datetime.date(int(first[:4]), int(first[5:]), 1), zone), day_start(after, zone)


def device_failures(world, span, device=None):
    """(n devices, failures, hours) in a span, of all devices or one."""
    n, failures, hours = 0, 0, 0.0
    for name, row in world.devices.items():
        if device is not None and name != device:
            continue
        start = span[0] if row["in_service_on"] is None else max(span[0], day_start(row["in_service_on"], world.zone))
        end = span[1]
        if row["retired_on"] is not None:
            end = min(end, day_start(row["retired_on"] + datetime.timedelta(days=1), world.zone))
        if end <= start:
            continue
        service = [s for s in world.load.rows("service") if s["device_id"] == name]
        out = union_length([clip((s["removed_at"], end if s["returned_at"] is None else s["returned_at"]),
                                 (start, end)) for s in service])
        n += 1      # in service from in_service_on to retired_on, also where it was away for the whole span
        hours += (end - start - out) / HOUR
        failures += sum(s["reason"] == "failure" and start <= s["removed_at"] < end for s in service)
    return n, failures, hours
