# The work of a load and of monthly measures, as an analyst's script does it with pandas: read the exports, bring pressures to
# cm[H2O], link device rows to transports by device and time, and print measures by month as month,measure,value.
# python3 analyst.py FOLDER...
import glob
import sys

import numpy as np
import pandas as pd

MBAR = 100 / 98.0665  # cm[H2O]
STAMPS = ["called_at", "accepted_at", "departed_base_at", "arrived_referring_at", "at_patient_at",
          "departed_referring_at", "arrived_receiving_at", "handed_over_at", "available_at"]
QUANTITIES = ["Ppeak", "PEEP", "Pmean", "Ftot", "Vte", "MVe", "Leak", "O2", "SpO2", "Pulse"]


def read(pattern, **how):
    files = sorted(f for folder in sys.argv[1:] for f in glob.glob(f"{folder}/{pattern}"))
    return pd.concat([pd.read_csv(f, engine="c", **how) for f in files], ignore_index=True)


def times(column, form="%Y-%m-%d %H:%M:%S"):
    return pd.to_datetime(column, format=form)


def link(rows, when, windows):
    rows = rows.sort_values(when, kind="stable")
    linked = pd.merge_asof(rows, windows, left_on=when, right_on="wide_from", by="device")
    linked.loc[~(linked[when] <= linked["wide_to"]), "transport_id"] = None
    return linked


trips = read("transports-*.csv", dtype={"transport_id": str})
for stamp in STAMPS:
    trips[stamp] = times(trips[stamp])
trend = read("trend *.csv", dtype={"Unit": "category", "Date": str, "Time": str})
trend["at"] = times(trend.pop("Date") + " " + trend.pop("Time"), "%m/%d/%Y %H:%M:%S")
trend = trend.rename(columns={"Unit": "device"})
trend["device"] = trend["device"].astype(str)
for pressure in ["Ppeak", "PEEP", "Pmean"]:
    trend[pressure] = (trend[pressure] * MBAR).round(9)
alarms = read("alarms-*.csv").rename(columns={"device_id": "device"})
alarms["started_at"], alarms["ended_at"] = times(alarms["started_at"]), times(alarms["ended_at"])

half = pd.Timedelta(minutes=30)
windows = pd.DataFrame({"device": trips["ventilator_id"], "transport_id": trips["transport_id"],
                        "wide_from": trips["accepted_at"] - half, "wide_to": trips["available_at"] + half}).sort_values("wide_from")
trend, alarms = link(trend, "at", windows), link(alarms, "started_at", windows)
trend["held"] = trend[QUANTITIES].notna().sum(axis=1)
trend = trend[trend["held"] > 0]

trips["month"] = trips["accepted_at"].dt.strftime("%Y-%m")
done = trips[trips["disposition"] == "completed"]


def median(measure, start, end, of):
    minutes = (of[end] - of[start]).dt.total_seconds() / 60
    return minutes[minutes >= 0].groupby(of["month"]).median().rename(measure)


answers = [median("trip_time", "accepted_at", "available_at", done),
           median("stabilization_time", "arrived_referring_at", "departed_referring_at", done),
           median("mobilization_time", "accepted_at", "departed_base_at", done[done["urgency"] != "planned"])]

own = alarms[alarms["transport_id"].notna()].copy()
own["last"] = np.where((own["ended_at"] > own["started_at"]) & (own["ended_at"] <= own["wide_to"]), own["ended_at"], own["started_at"])
own["last"] = pd.to_datetime(own["last"])
seen = pd.concat([trend[trend["transport_id"].notna()].groupby(["transport_id", "device"])["at"].agg(["min", "max"]),
                  own.groupby(["transport_id", "device"]).agg(min=("started_at", "min"), max=("last", "max"))])
seen = seen.groupby(level=[0, 1]).agg({"min": "min", "max": "max"})
hours = ((seen["max"] - seen["min"]).dt.total_seconds() / 3600).groupby(level=0).sum()
onsets = own.groupby("transport_id").size().reindex(hours.index, fill_value=0)
rates = pd.DataFrame({"hours": hours, "onsets": onsets})[hours > 0].join(done.set_index("transport_id")["month"], how="inner").groupby("month").sum()
answers.append((rates["onsets"] / rates["hours"]).rename("alarms_per_hour"))

counts = pd.concat([pd.DataFrame({"month": trend["at"].dt.to_period("M"), "n": trend["held"], "linked": trend["held"].where(trend["transport_id"].notna(), 0)}),
                    pd.DataFrame({"month": alarms["started_at"].dt.to_period("M"), "n": 1, "linked": alarms["transport_id"].notna().astype(int)})]).groupby("month").sum()
counts.index = counts.index.astype(str)
answers.append((100 * counts["linked"] / counts["n"]).rename("record_linked"))

linked = trend[trend["transport_id"].notna()]
pressure = linked["Pmean"].groupby(linked["at"].dt.to_period("M")).mean().rename("mean_airway_pressure")
pressure.index = pressure.index.astype(str)
answers.append(pressure)
for answer in answers:
    for month, value in answer.items():
        print(f"{month},{answer.name},{value!r}")
