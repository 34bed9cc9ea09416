#!/usr/bin/env python3
"""Answers for the edge cases, worked out by hand from the contract, against recompute's own.

What: writes one folder of exports with no random transports, reads it, and holds single transports, files and sums to
numbers that were reasoned out beside each line.
How to run: python3 test_edges.py (standard library only; says how many hold, or fails on the first that does not).
"""
import math
import os
import subprocess
import sys
import tempfile
import unittest
import zoneinfo

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
sys.dont_write_bytecode = True

from grouping import device_failures, group_of, month_span  # noqa: E402
from measuring import Answers, contributions  # noqa: E402
from reading import Loader  # noqa: E402
from supplies import GasPicture, last_oxygen_demand  # noqa: E402
from timelines import World, episodes  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
ZONE = zoneinfo.ZoneInfo("America/Chicago")


class Edges(unittest.TestCase):
    """One world, many answers."""

    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        out = os.path.join(cls.folder.name, "in")
        subprocess.run([sys.executable, os.path.join(HERE, "make_exports.py"), "8", out, "--transports", "8"], check=True)
        cls.load = Loader(out, "America/Chicago").run()
        cls.world = World(cls.load, ZONE)
        cls.year = 2022 + 8 % 4

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def given(self, name):
        return contributions(self.world.transports[name], self.world)

    def has(self, name, **wanted):
        """The transport gives exactly these; None means it is not in the measure."""
        given = self.given(name)
        for measure, value in wanted.items():
            with self.subTest(transport=name, measure=measure):
                if isinstance(value, float):
                    self.assertAlmostEqual(given[measure], value, places=9)
                else:
                    self.assertEqual(given.get(measure), value)

    def test_times(self):
        self.has("ARR01", mobilization_time=30.0, response_time=70.0, stabilization_time=60.0, patient_leg_time=60.0,
                 trip_time=210.0, care_time=125.0)                      # 10:00-10:30, 9:50-11:00, 11-12, 12-13, 10-13:30, 11:05-13:10
        self.has("ARR02", mobilization_time=30 + 1 / 60)                # one second past the target
        self.has("SUP12", care_time=None, conversions=None)             # at the patient after the end
        self.has("SUP13", care_time=0.0, conversions=None)
        self.has("CLK01", stabilization_time=80.0)                      # 00:50 daylight to 01:10 standard
        self.has("CLK02", mobilization_time=40.0, response_time=70.0, stabilization_time=170.0)  # 01:40 is the first: 06:40 to 09:30 UTC
        self.has("CLK03", response_time=None, stabilization_time=None, patient_leg_time=50.0)

    def test_arrival(self):
        none = dict(hypothermia_on_arrival=0, hyperthermia_on_arrival=0)
        self.has("ARR01", hypocarbia_on_arrival=0, hypercarbia_on_arrival=0, glucose_low_on_arrival=0, **none)
        self.has("ARR02", hypocarbia_on_arrival=0, hypercarbia_on_arrival=0, glucose_low_on_arrival=0, **none)  # 97.7 degF is 36.5
        self.has("ARR03", hypocarbia_on_arrival=0, glucose_low_on_arrival=1, hypothermia_on_arrival=1)  # 97.5 degF: 36.39
        self.has("ARR04", hypercarbia_on_arrival=1, **none)             # 99.5 degF is 37.5
        self.has("ARR05", hypercarbia_on_arrival=0, **none)
        self.has("ARR06", hypothermia_on_arrival=None)
        self.has("ARR07", hypothermia_on_arrival=1, glucose_low_on_arrival=1)
        self.has("ARR08", hypothermia_on_arrival=None)
        self.has("ARR09", hyperthermia_on_arrival=1)
        self.has("ARR10", hypocarbia_on_arrival=None, conversions=(1, 1))
        self.has("ARR11", glucose_low_on_arrival=0, **none)
        self.has("ARR12", hypothermia_on_arrival=1)
        self.has("ARR13", hypothermia_on_arrival=None, glucose_low_on_arrival=0)

    def runs(self, name):
        return [(r.name, r.length / 60e6) for r in episodes(self.world.transports[name])]

    def test_support(self):
        self.assertEqual(self.runs("SUP01"), [("cpap", 55), ("nippv", 2), ("cpap", 68)])
        self.assertEqual(self.runs("SUP02"), [("cpap", 125)])
        self.assertEqual(self.runs("SUP03"), [("cpap", 84), ("invasive", 40)])   # 125 less 1 min of standby
        self.assertEqual(self.runs("SUP04"), [("high_flow", 2.5)])
        self.assertEqual(self.runs("SUP05"), [("invasive", 125)])
        self.assertEqual(self.runs("SUP06"), [])
        self.assertEqual(self.runs("SUP07"), [("cpap", 55), ("invasive", 70)])
        self.assertEqual(self.runs("SUP08"), [("invasive", 125)])
        self.assertEqual(self.runs("SUP09"), [("invasive", 55), ("high_frequency", 3), ("invasive", 67)])
        self.has("SUP03", escalations=1)
        self.has("SUP02", escalations=0)
        self.has("SUP05", escalations=None)
        self.has("SUP10", unplanned_extubation=None, adverse_events=(1, 1), device_dislodgement=(1, 1))
        self.has("SUP11", unplanned_extubation=(1, 1), unplanned_extubation_hours=(1, 125 / 60), tube_confirmed=1,
                 preventable_events=(1, 1), serious_events=(1, 1), harmful_events=(1, 1))

    def test_alarms(self):
        self.has("ALA01", alarm_flood=1, alarms_per_hour=(11, 601 / 3600))
        self.has("ALA02", alarm_flood=0)
        self.has("ALA03", alarm_flood=0)
        self.has("ALA04", alarm_flood=1)
        self.has("ALA05", repeat_alarms=(2, 6))
        self.has("ALA06", alarms_per_hour=None, alarm_flood=None)
        self.has("ALA07", alarms_per_hour=(1, 4.5))
        # 0-10, 70-270 (100-110 inside), 389-399 (390-395 inside): 220 s.
        self.assertAlmostEqual(self.given("ALA05")["alarming_time"][0] * 3600, 220)
        self.assertAlmostEqual(self.given("ALA07")["alarming_time"][0] * 3600, 5)   # 13:59:55 to 14:00:00

    def test_power_and_checks(self):
        self.has("POW01", battery_time=110.0, battery_overdrawn=0)
        self.has("POW02", battery_time=110 + 1 / 60, battery_overdrawn=1)
        self.has("POW03", battery_time=70.0, battery_overdrawn=None)
        for name, passed in (("LEK01", 1), ("LEK02", 0), ("LEK03", 1), ("LEK04", 0), ("LEK05", 0), ("LEK06", None),
                             ("LEK07", None)):
            self.has(name, leak_check_passed=passed)

    def test_gas(self):
        self.has("GAS01", oxygen_over_plan=0, oxygen_per_hour=280 / (125 / 60))
        self.has("GAS02", oxygen_over_plan=1, oxygen_reserve_short=None)             # no carried cylinder
        self.has("GAS03", oxygen_ratio=None, oxygen_over_plan=None, oxygen_per_hour=0.0)
        self.has("GAS04", oxygen_ratio=None, oxygen_per_hour=-16 / (125 / 60))       # -100 psi x 0.16
        self.assertAlmostEqual(self.given("GAS05")["oxygen_ratio"][0], 2 / 0.45359237 * 344)
        self.has("GAS05", oxygen_over_plan=1)
        self.has("GAS06", oxygen_ratio=None, oxygen_per_hour=None)
        self.has("GAS07", oxygen_ratio=None)
        self.assertAlmostEqual(self.given("GAS07")["air_ratio"][0], 140)
        self.has("GAS08", oxygen_per_hour=200.0)
        self.has("GAS09", oxygen_per_hour=None, oxygen_over_plan=0)                  # 100 used, 200 planned
        self.has("GAS10", oxygen_reserve_short=0)
        self.has("GAS11", oxygen_reserve_short=1)
        self.has("GAS12", oxygen_reserve_short=1)
        self.assertAlmostEqual(last_oxygen_demand(self.world.transports["GAS12"]), 1.6)
        used = 3 * 0.28 * (13790 - 11000) / 6.894757293168                           # three like cylinders
        self.assertAlmostEqual(self.given("GAS13")["oxygen_ratio"][0], used)
        error = GasPicture(self.world.transports["GAS13"], "oxygen").error
        self.assertAlmostEqual(error, 0.28 * 25 * math.sqrt(6))

    def test_links(self):
        seen = [(self.world.link[id(r)].id if self.world.link[id(r)] else None)
                for r in self.load.rows("readings") if r["device_id"] == "LV1"]
        self.assertEqual(seen, [None, "LNK01", "LNK01", "LNK01", "LNK02", "LNK02", "LNK03", "LNK03", "LNK03", None])
        self.has("LNK06", mobilization_time=20.0)     # a blank urgency is not planned
        links = {d: [self.world.link[id(r)] for r in self.load.rows("readings") if r["device_id"] == d]
                 for d in ("LV4", "LV5", "LV6")}
        self.assertEqual([t and t.id for t in links["LV4"]], [None])
        self.assertEqual([t and t.id for t in links["LV5"]], ["LNK05", None])
        self.assertEqual([t and t.id for t in links["LV6"]], ["LNK06"])

    def test_months_and_groups(self):
        months = {n: self.world.transports[n].month for n in ("MON01", "MON02", "MON03", "MON04", "MON05", "CLK03")}
        december = f"{self.year}-12"
        self.assertEqual(months, {"MON01": december, "MON02": december, "MON03": None, "MON04": None, "MON05": december,
                                  "CLK03": f"{self.year + 1}-03"})
        self.has("MON05", crew_injury=(1, 1))
        self.has("MON06", crew_injury=None)
        bands = [group_of(self.world.transports[n], "gestation_band") for n in ("REF01", "REF02", "REF03", "REF04")]
        self.assertEqual(bands, ["under 28", "28\u201331", "not recorded", "32\u201336"])

    def test_device_hours(self):
        span = month_span(f"{self.year}-12", f"{self.year}-12", ZONE)
        # DV1: 31 days less 14 h (08:00 to 22:00) less 36 h (30th noon to the end of the 31st).
        self.assertEqual(device_failures(self.world, span, "DV1"), (1, 2, 31 * 24 - 14 - 36))
        # DV2: corrected to the 5th: five days; the old row again is a repeat.
        self.assertEqual(device_failures(self.world, span, "DV2"), (1, 0, 5 * 24))

    def test_ledger(self):
        by_file = {e["file"]: e for e in self.load.ledger}

        def row(name):
            e = by_file[name + ".csv"]
            self.assertEqual(e["read"], e["stored"] + e["repeated"] + e["refused"])
            return e["read"], e["stored"], e["repeated"], e["refused"], e["cells_refused"], e["superseded"]

        self.assertEqual(row("devices_edge1"), (4, 4, 0, 0, 0, 1))
        self.assertEqual(row("devices_edge3"), (1, 0, 1, 0, 0, 0))
        self.assertEqual(row("cylinders_edge3"), (2, 2, 0, 0, 0, 0))
        self.assertEqual(row("cylinders_edge4"), (1, 0, 1, 0, 0, 0))
        self.assertEqual(row("cylinders_edge5"), (3, 1, 2, 0, 0, 0))
        self.assertEqual(row("alarms_edge2"), (54, 0, 54, 0, 0, 0))
        self.assertEqual(row("notes_edge1"), (3, 0, 0, 3, 0, 0))
        # REF01 birth weight, REF02 age, REF03 gestation, vehicle and cooling.
        self.assertEqual(row("transports_edge1")[3:], (1, 5, 0))
        self.assertEqual(row("transports_edge2")[3:], (0, 1, 0))        # 02:30 on the spring night
        self.assertEqual(row("settings_edge1")[3:], (1, 0, 0))          # 02:15

    def test_flow_of_answers(self):
        answers = list(Answers(self.world).all("month"))
        self.assertEqual({a["month"] for a in answers}, {f"{self.year}-11", f"{self.year}-12", f"{self.year + 1}-01",
                                                         f"{self.year + 1}-02", f"{self.year + 1}-03"})


if __name__ == "__main__":
    unittest.main()
